"""Pictures of everything a person sees, to be looked at: ``make screens``."""
