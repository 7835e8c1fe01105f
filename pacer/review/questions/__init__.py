"""The numbers behind each question of Look back."""
