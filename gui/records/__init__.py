"""The place where everything sealed is found, looked at, verified and handed out."""
