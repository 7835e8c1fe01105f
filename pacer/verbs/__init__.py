"""What Pacer does without a window: check, schema, replay, log, and the headless demo."""
