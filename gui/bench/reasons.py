"""Reasons and statements often given at the bench, as large buttons; others can be typed."""

from enum import Enum


class Ask(Enum):
    """What is asked: the question, and the answers offered."""

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
        "Why is this point skipped?",
        (
            "Keyway or hole at this place",
            "Cannot be reached",
            "Surface is damaged here",
            "Seat is covered here",
        ),
    )
    USE = (
        "Why does this value belong there after all?",
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

    NOTE = (
        "What is to be noted?",
        ("Light was bad", "Seat was cleaned again", "Shaft was turned on its supports"),
    )
    PERSON = ("Who measures from here on?", ())
    KNOCK = (
        "What happened to the gauge?",
        ("It was knocked", "It fell down", "Its faces were wiped", "It was set anew"),
    )

    SEAL = (
        "Seal the inspection? It cannot be changed afterwards. The sheet will state:",
        (
            "I measured this shaft as recorded here.",
            "I measured this shaft as recorded here, with the departures noted.",
        ),
    )
    SEAL_SIMULATED = (
        "Seal the inspection? It cannot be changed afterwards. The sheet will state:",
        ("A simulated gauge was pressed as recorded here; no shaft was measured.",),
    )

    @property
    def question(self) -> str:
        return self.value[0]

    @property
    def answers(self) -> tuple[str, ...]:
        return self.value[1]
