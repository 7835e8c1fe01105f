"""What windows and verbs say in words, from plain values."""
