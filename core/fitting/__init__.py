"""What follows on an accepted seat: the order of bolts, and what was found while fitting."""
