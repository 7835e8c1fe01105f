"""The page of the first start."""
