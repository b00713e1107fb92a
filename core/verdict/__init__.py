"""Verdicts: the rule by which a value with its uncertainty is judged against limits."""
