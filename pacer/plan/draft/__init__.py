"""An outline while it is edited: the draft, its history, and its text, which keeps what was not changed."""
