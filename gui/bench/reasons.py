"""Reasons and statements often given at the bench, as large buttons; others can be typed."""

from enum import Enum

from seatproof.gui.shared.saying import wording


class Ask(Enum):
    """What is asked: the question, and the answers offered; each is said when it is shown."""

    TAKE_BACK = (
        wording("Why is the last reading taken back?"),
        (
            wording("Gauge was not held square"),
            wording("Dirt or a burr on the seat"),
            wording("Wrong point was measured"),
            wording("Gauge was knocked"),
        ),
    )
    MEASURE_AGAIN = (
        wording("Why is this point measured again?"),
        (
            wording("Gauge was not held square"),
            wording("Dirt or a burr on the seat"),
            wording("Wrong point was measured"),
            wording("Value is doubted"),
        ),
    )
    SKIP = (
        wording("Why is this point skipped?"),
        (
            wording("Keyway or hole at this place"),
            wording("Cannot be reached"),
            wording("Surface is damaged here"),
            wording("Seat is covered here"),
        ),
    )
    USE = (
        wording("Why does this value belong there after all?"),
        (
            wording("The value is right: checked by hand"),
            wording("Button was pressed twice on purpose"),
        ),
    )
    DISCARD = (
        wording("Why is this press thrown away?"),
        (
            wording("Button was pressed by accident"),
            wording("Gauge was not on the shaft"),
            wording("Gauge showed the wrong unit"),
        ),
    )

    NOTE = (
        wording("What is to be noted?"),
        (
            wording("Light was bad"),
            wording("Seat was cleaned again"),
            wording("Shaft was turned on its supports"),
        ),
    )
    PERSON = (wording("Who measures from here on? (now {name})"), ())
    KNOCK = (
        wording("What happened to the gauge?"),
        (
            wording("It was knocked"),
            wording("It fell down"),
            wording("Its faces were wiped"),
            wording("It was set anew"),
        ),
    )

    SEAL = (
        wording("Seal the inspection? It cannot be changed afterwards. The sheet will state:"),
        (
            wording("I measured this shaft as recorded here."),
            wording("I measured this shaft as recorded here, with the departures noted."),
        ),
    )
    SEAL_SIMULATED = (
        wording("Seal the inspection? It cannot be changed afterwards. The sheet will state:"),
        (wording("A simulated gauge was pressed as recorded here; no shaft was measured."),),
    )

    @property
    def question(self) -> str:
        return self.value[0]

    @property
    def answers(self) -> tuple[str, ...]:
        return self.value[1]
