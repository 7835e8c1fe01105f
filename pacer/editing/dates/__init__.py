"""Which outline stands on which date, under edit, and what has been taught of them."""
