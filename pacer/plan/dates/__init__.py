"""Dates: which have school, and which outlines stand on which."""
