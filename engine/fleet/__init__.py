"""A fleet of jobs: streamed, on all cores, resumable."""
