"""The window in which what was taken stands beside what was read of it, and the ways into it."""
