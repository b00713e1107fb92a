"""The pages of a guided inspection's steps; readings have their own beside these."""
