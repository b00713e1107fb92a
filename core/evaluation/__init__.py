"""The evaluation of an inspection: the numbers and verdicts that screens and sheets show."""
