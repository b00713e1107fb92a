"""What the places of the window have in common."""
