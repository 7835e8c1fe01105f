"""What is typed or pasted, one phase a line, read as phases."""
