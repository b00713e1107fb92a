"""Work out a gauge's format from presses with known displays, and its line's settings."""
