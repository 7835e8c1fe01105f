"""Look back's Repair of one lesson."""
