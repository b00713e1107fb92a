"""The shaft as line drawings: shapes computed once, painted by sheet and screen alike."""
