"""The teacher's outlines as files: what is done with them, and taken back."""
