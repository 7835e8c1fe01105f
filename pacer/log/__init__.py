"""The day records: one SQLite file, one row per event, never rewritten."""
