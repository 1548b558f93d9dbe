"""Playing a sampled day: one concrete truth for each aircraft, a class's calls on it, and what they were worth."""
