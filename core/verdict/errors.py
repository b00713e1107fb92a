"""What cannot be judged, as one sentence each.

::

    VerdictError(ValueError)
    ├── LimitsOrderError        the limits are missing, not finite, or the wrong way round
    ├── KnowledgeError          a value, an uncertainty or trials that cannot be used
    └── RuleError               a rule that does not exist, or is short of what it needs
"""


class VerdictError(ValueError):
    """Something that no verdict can be given on; the message says why."""


class LimitsOrderError(VerdictError):
    """Limits between which nothing can lie.

    Attributes
    ----------
    lower, upper : object
        The limits as given.
    """

    def __init__(self, lower: object, upper: object, reason: str) -> None:
        self.lower = lower
        self.upper = upper
        super().__init__(f"The limits {lower} and {upper} cannot be used: {reason}.")


class KnowledgeError(VerdictError):
    """A statement about a value that cannot be used.

    Attributes
    ----------
    what : str
        What is meant, such as "standard uncertainty".
    given : object
        What was given for it.
    """

    def __init__(self, what: str, given: object, reason: str) -> None:
        self.what = what
        self.given = given
        super().__init__(f"The {what}, {given}, cannot be used: {reason}.")


class RuleError(VerdictError):
    """A decision rule that cannot be applied.

    Attributes
    ----------
    rule : str
        The rule as named.
    """

    def __init__(self, rule: str, reason: str) -> None:
        self.rule = rule
        super().__init__(f'The decision rule "{rule}" cannot be applied: {reason}.')
