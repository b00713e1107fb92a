"""The program without a window: one module a command, each with ``add_parser`` and ``run``."""
