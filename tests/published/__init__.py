"""Published worked examples, run against the engine."""
