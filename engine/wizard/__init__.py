"""What is asked on site, in which order and when, and the Spanish of it."""
