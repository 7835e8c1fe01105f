"""Words that are said in a running lesson."""
