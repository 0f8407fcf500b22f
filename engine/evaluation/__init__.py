"""The order of the work: from one job to its values, checks, drawing and written questions."""
