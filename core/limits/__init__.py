"""Tolerance classes, standard tolerances and limits of size by ISO 286."""
