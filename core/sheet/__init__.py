"""The inspection sheet: what it says, and how it is drawn."""
