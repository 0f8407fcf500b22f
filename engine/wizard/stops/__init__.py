"""The questions of each stop of the walk."""
