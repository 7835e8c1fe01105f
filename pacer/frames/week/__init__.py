"""What the page Week shows: days with their lessons, and a unit at a glance."""
