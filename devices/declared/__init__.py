"""Formats that are declared, not coded: models that are saved with a gauge, and their reading."""
