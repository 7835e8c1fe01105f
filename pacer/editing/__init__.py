"""What is under edit and how it is kept: outlines, budgets being accepted, corrections, tomorrow's note. No Qt."""
