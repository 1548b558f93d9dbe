"""Widgets: the main window, the board canvas, the panels."""
