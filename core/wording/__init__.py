"""From the state of an inspection and its evaluation to the words and figures of its sheet."""
