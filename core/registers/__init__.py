"""Registers of an archive: people, equipment, plans; each an append-only chain of events."""
