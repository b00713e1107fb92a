"""The bench: the place where an inspector measures."""
