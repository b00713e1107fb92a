"""Help on every place, in plain words and without a network."""
