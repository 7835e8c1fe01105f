"""The page Room: what a classroom needs set once."""
