"""Cards beside the form before the bench: cautions, what can be gone on with, the demonstration."""

from collections.abc import Callable
from html import escape
from pathlib import Path
from typing import Final

from PySide6.QtWidgets import QFrame, QLabel, QVBoxLayout

from seatproof.core.archive.index import SEALED
from seatproof.core.archive.query import Entry
from seatproof.core.cautions import CAUTIONS, DEFERENCE
from seatproof.gui.archives import breakable
from seatproof.gui.shared.action_button import ActionButton
from seatproof.gui.shared.saying import again, say, wording

_OFFERED: Final = 5
# What speaks against fitting by an inspection in this state; the other states say themselves.
_AGAINST_FITTING: Final = {
    "sent back": wording("▲ The review sent it back: to be measured again"),
    "to be reworked": wording("▲ It was decided: to be reworked"),
    "rejected": wording("▲ It was decided: rejected"),
}


def cautions_card() -> QFrame:
    """Return the cautions, and whose word comes before the program's."""
    card, layout = _card(say("Before hands go near the shaft"))
    items = "".join(f"<li>{escape(again(caution))}</li>" for caution in CAUTIONS)
    deference = escape(again(DEFERENCE))
    marked_up = f"<ul style='margin-left:-22px'>{items}</ul><p><b>{deference}</b></p>"
    text = QLabel(marked_up)
    text.setWordWrap(True)
    layout.addWidget(text)
    return card


def demonstration_card(archive: Path, own_work: Callable[[], object]) -> QFrame:
    """Return where the demonstration's readings go, and the way to one's own work."""
    card, layout = _card(say("This is the demonstration"))
    text = QLabel(
        say(
            "The gauge is simulated, and no shaft is measured. Everything goes into a file of "
            "its own, {path}, and nothing of it into your own archive.",
            path=breakable(archive),
        )
    )
    text.setObjectName("demonstration_words")
    text.setWordWrap(True)
    layout.addWidget(text)
    button = ActionButton(say("To my own work"))
    button.setObjectName("own_work")
    button.clicked.connect(lambda: own_work())
    layout.addWidget(button)
    return card


def go_on_card(unfinished: tuple[Entry, ...], resume: Callable[[str], None]) -> QFrame:
    """Return what was begun and not sealed."""
    card, layout = _card(say("Go on where an inspection was left"))
    for entry in unfinished[:_OFFERED]:
        words = say("I have read the cautions")
        button = ActionButton(
            f"{entry.title}, {entry.thing}\n{entry.sheet_number}, {entry.opened_utc[:10]}: {words}"
        )
        button.setObjectName(f"go_on_{entry.inspection}")
        button.clicked.connect(lambda _=False, name=entry.inspection: resume(name))
        layout.addWidget(button)
    return card


def fit_card(to_fit: tuple[Entry, ...], fit: Callable[[str], None]) -> QFrame:
    """Return what was sealed and can be fitted, with what the review said of it."""
    card, layout = _card(say("Go on with the fitting on a sealed seat"))
    for entry in to_fit[:_OFFERED]:
        button = ActionButton(
            f"{entry.title}, {entry.thing}\n{entry.sheet_number}, {again(entry.verdict)}\n"
            f"{_review_words(entry)}"
        )
        button.setObjectName(f"fit_{entry.inspection}")
        button.clicked.connect(lambda _=False, name=entry.inspection: fit(name))
        layout.addWidget(button)
    return card


def _review_words(entry: Entry) -> str:
    """Say what became of a sealed inspection, before anybody fits by it."""
    if entry.state == SEALED:
        return say("○ Not reviewed yet")
    against = _AGAINST_FITTING.get(entry.state)
    return f"● {again(entry.state).capitalize()}" if against is None else say(against)


def _card(heading: str) -> tuple[QFrame, QVBoxLayout]:
    card = QFrame()
    card.setProperty("role", "card")
    title = QLabel(heading)
    title.setProperty("role", "heading")
    title.setWordWrap(True)
    layout = QVBoxLayout(card)
    layout.addWidget(title)
    return card, layout
