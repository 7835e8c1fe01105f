"""What is private in the teacher's ear: four patterns of tones, and the sound server that plays them. No Qt."""
