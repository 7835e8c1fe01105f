"""The page Library: the teacher's outlines, the templates, and what was put away."""
