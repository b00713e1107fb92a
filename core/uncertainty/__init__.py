"""Measuring uncertainty: contributions, their propagation, and Monte Carlo; no plan, no record."""
