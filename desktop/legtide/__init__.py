"""Legtide: when each aircraft's water tank is filled and its waste tank drained across a day of flights."""

__version__ = "0.1.0"
