"""What is private in the teacher's ear: patterns of tones, and the sound server that plays them. No Qt."""
