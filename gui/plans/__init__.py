"""The place of plans: those kept in the archive, and the editor in which they are made."""
