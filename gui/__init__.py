"""What a person sees: the window, the command line, and the entry point."""
