"""Things under edit, without Qt: they hold, undo and save; views only show them."""
