"""The place of the quality lead: inspections that wait, seen whole, and decided."""
