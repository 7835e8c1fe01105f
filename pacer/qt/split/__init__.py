"""The Split page."""
