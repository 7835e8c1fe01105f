"""What is under edit and how it is kept: outlines, accepted budgets, corrections, the note for tomorrow."""
