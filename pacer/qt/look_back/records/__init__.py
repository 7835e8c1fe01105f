"""Look back's Day records: list, trash, export, deletion."""
