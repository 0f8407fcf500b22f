"""Files of jobs: read, brought up to date, refused in plain words, and written whole."""
