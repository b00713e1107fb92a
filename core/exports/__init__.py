"""Data out: the readings and results of an inspection for other programs."""
