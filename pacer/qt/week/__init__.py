"""The page Week: which outlines stand on which day."""
