"""Paints any chart, on the screen and on paper."""
