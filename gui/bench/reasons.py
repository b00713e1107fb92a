"""Reasons that are often given at the bench, offered as large buttons; any other can be typed."""

from enum import Enum


class Ask(Enum):
    """What is asked for a reason: the question, and the answers offered."""

    TAKE_BACK = (
        "Why is the last reading taken back?",
        (
            "Gauge was not held square",
            "Dirt or a burr on the seat",
            "Wrong point was measured",
            "Gauge was knocked",
        ),
    )
    MEASURE_AGAIN = (
        "Why is this point measured again?",
        (
            "Gauge was not held square",
            "Dirt or a burr on the seat",
            "Wrong point was measured",
            "Value is doubted",
        ),
    )
    SKIP = (
        "Why is this point left out?",
        (
            "Keyway or hole at this place",
            "Cannot be reached",
            "Surface is damaged here",
            "Seat is covered here",
        ),
    )
    USE = (
        "Why does this value belong to the next point after all?",
        ("The value is right: checked by hand", "Button was pressed twice on purpose"),
    )
    DISCARD = (
        "Why is this press thrown away?",
        (
            "Button was pressed by accident",
            "Gauge was not on the shaft",
            "Gauge showed the wrong unit",
        ),
    )

    @property
    def question(self) -> str:
        return self.value[0]

    @property
    def answers(self) -> tuple[str, ...]:
        return self.value[1]
