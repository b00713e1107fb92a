"""What a command cannot do with what it was given, as one sentence."""


class CommandError(Exception):
    """The command's input cannot be used; the message says what to do."""
