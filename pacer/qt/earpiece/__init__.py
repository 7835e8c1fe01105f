"""Cues in the teacher's ear: the one chosen output, and what a lesson plays on it."""
