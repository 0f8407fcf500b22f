"""What several rules share: conditions that they judge alike, the facts that they read, and words that they say."""
