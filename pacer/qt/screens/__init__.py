"""The screens, the private window, and what covers it."""
