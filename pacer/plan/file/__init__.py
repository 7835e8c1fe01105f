"""The outline file: what may stand in it, reading it with line-numbered problems, attachments."""
