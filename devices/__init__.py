"""Gauges: bytes from a port become readings, or refusals with their reason. No Qt."""
