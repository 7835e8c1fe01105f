"""Pages for paper and pictures as files."""
