"""The board: an own canvas that paints with the shared painters."""
