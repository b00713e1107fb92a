"""Plots of the review, each painted by itself, on the screen as in a file."""
