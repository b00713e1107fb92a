"""Plots as data: what screen and sheet both draw, each with its own means."""
