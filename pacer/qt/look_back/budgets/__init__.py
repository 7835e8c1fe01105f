"""Look back's Budgets."""
