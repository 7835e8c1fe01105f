"""The arithmetic of pace: what time is left, when to move, what state the Desk is in. Pure functions."""
