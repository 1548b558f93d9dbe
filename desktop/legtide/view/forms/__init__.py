"""The forms in which parts of the day are changed."""
