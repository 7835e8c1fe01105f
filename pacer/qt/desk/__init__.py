"""The Desk: the private view of a running lesson."""
