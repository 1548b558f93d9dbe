"""Training: a window in which a class plays a sampled day, sees how it came out, and is scored."""
