"""What past lessons say. Holds what Look back and learned budgets compute from day records."""
