"""Suggestions to the author of a plan, always stated as such; the drawing decides."""
