"""What more than one room uses: theme, widgets, type, the ticker."""
