"""The panels beside the board."""
