"""Faults of machine, disk and time: nothing acknowledged is lost, and a start ends in words or a window."""
