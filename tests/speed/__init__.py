"""Benchmarks: numbers on speed that anyone can repeat with ``make speed``."""
