"""What past endings teach: budgets, forecasts, and how good they were."""
