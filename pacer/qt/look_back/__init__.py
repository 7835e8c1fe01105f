"""Look back: past lessons, their pictures, and what is said after school."""
