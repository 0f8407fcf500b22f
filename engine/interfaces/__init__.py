"""Between the screen and the engine: requests, replies, and the worker's entry."""
