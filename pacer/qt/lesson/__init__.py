"""A running lesson in its windows: keys, care for the laptop, who sees which screen."""
