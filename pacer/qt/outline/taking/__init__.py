"""What comes to the Outline page from elsewhere: pasted, dropped, asked for."""
