"""Painters shared by the screen, the picture and the page. QtGui only: no widget."""
