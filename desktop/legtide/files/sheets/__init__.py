"""Workbooks that people send: Excel (.xlsx) and OpenDocument (.ods)."""
