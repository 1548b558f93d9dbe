"""The day as data: frozen documents, pure edits, the figures of the model, the checks."""
