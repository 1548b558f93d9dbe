"""The computation: usage, tank levels, risks, readings, mass, warnings. NumPy, pure, no toolkit."""
