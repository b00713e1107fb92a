"""Choosing colours, size of text, sounds and keys."""
