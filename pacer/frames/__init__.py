"""Everything a window shows, as frozen values: what to paint, and nothing about how."""
