"""The bench-independent heart: data model, numbers, record, archive and sheet. No Qt, no ports."""
