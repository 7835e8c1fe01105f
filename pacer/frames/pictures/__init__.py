"""The pictures of Look back, a question each: numbers of review/ turned into charts with their words."""
