"""What a page shows that has nothing to show yet: a sentence, a small picture, one action."""
