"""Hostile and damaged files: each is read, or refused in a plain sentence, within a second."""
