"""Typed or pasted tables: their rows, columns and cells as phases."""
