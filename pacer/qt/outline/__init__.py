"""The Outline page."""
