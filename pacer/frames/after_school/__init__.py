"""What is said after school of one lesson: in the list, while it is mended, on the page for a coach."""
