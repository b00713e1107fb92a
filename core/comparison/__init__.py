"""Comparing an inspection: with itself less a reading, and with earlier ones of the same seat."""
