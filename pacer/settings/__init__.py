"""What the program remembers of the teacher's choices, apart from outlines and day records."""
