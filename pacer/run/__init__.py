"""A lesson as it runs: clock, events, the state they fold to, and the rules for commands. No Qt."""
