"""What the class will see, beside the outline that is being written."""
