"""What the teacher plans: outlines, their phases and the file they are kept in."""
