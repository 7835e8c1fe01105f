"""What must stay with the teacher: seen from outside, in the program as a whole."""
