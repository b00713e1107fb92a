"""Prints for the workshop, made from a plan: marking strips at 1:1, and a sheet to write on."""
