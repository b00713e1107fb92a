"""Work out a gauge's format from a few presses whose displays were read.

What is found is proved on the presses it was found from, and says what it still leaves open. A
format with open questions refuses what it has not seen; it never guesses.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from seatproof.core.units import Unit
from seatproof.devices.declared.format import GaugeFormat
from seatproof.devices.declared.framing import Framing
from seatproof.devices.declared.pressing import Pressing
from seatproof.devices.derive.candidate import Candidate, Question, Sight
from seatproof.devices.derive.framing_search import Framed, packet_framings, text_framings
from seatproof.devices.derive.packet_search import packet_candidates
from seatproof.devices.derive.press import KnownPress
from seatproof.devices.derive.text_search import text_candidates
from seatproof.devices.formats import Reading, Refusal
from seatproof.devices.symptoms import explain_bytes

FEWEST_PRESSES: Final = 2
ENOUGH_VALUES: Final = 3


@dataclass(frozen=True, slots=True)
class WorkedOut:
    """What the presses say about a format.

    Attributes
    ----------
    format : GaugeFormat or None
        The format; None where none explains the presses.
    questions : tuple of Question
        Which further press would settle what is open.
    trouble : str
        Why there is no format, as a sentence.
    """

    format: GaugeFormat | None
    questions: tuple[Question, ...] = ()
    trouble: str = ""

    @property
    def is_settled(self) -> bool:
        """Whether the format is known with nothing left open."""
        return self.format is not None and not self.questions


def work_out(presses: Sequence[KnownPress], *, name: str = "my gauge") -> WorkedOut:
    """Find the format that explains all presses.

    Parameters
    ----------
    presses : sequence of KnownPress
        Two to four, of different values, one of them negative and one near zero if that can be.
    name : str
        The name that the format gets.
    """
    if len(presses) < FEWEST_PRESSES:
        return WorkedOut(None, (Question.OTHER,), "At least two presses are needed.")
    if any(not press.raw for press in presses):
        return WorkedOut(None, (), "A press sent nothing: check the gauge and its cable.")
    if len({press.shown.value for press in presses}) == 1:
        return WorkedOut(None, (Question.OTHER,), "All presses had the same value.")
    units = {press.shown.unit for press in presses} - {None}
    if len(units) > 1:
        return WorkedOut(None, (), "The displays were in different units; work out one at a time.")
    unit = next(iter(units), None)
    # Two values can agree by chance in what changes with a third, such as check characters.
    few = len({press.shown.value for press in presses}) < ENOUGH_VALUES
    best: WorkedOut | None = None
    for form, found in _proved(presses, name, unit):
        questions = (*found, Question.OTHER) if few else found
        if best is None or len(questions) < len(best.questions):
            best = WorkedOut(form, questions)
        if not found:
            break
    return best or WorkedOut(None, (), _why_none(presses, name))


def proof(form: GaugeFormat, press: KnownPress) -> Reading | Refusal | None:
    """Read a press with a format, as it would come over a quiet line; None for nothing at all."""
    framer = form.framer(trust_first=True)
    results = [form.read(frame) for frame in framer.feed(press.raw) + framer.silence()]
    return results[0] if len(results) == 1 else None


def _proved(
    presses: Sequence[KnownPress], name: str, unit: Unit | None
) -> Iterator[tuple[GaugeFormat, tuple[Question, ...]]]:
    for framing, candidate in _candidates(presses):
        layout = candidate.layout
        named = set(layout.units.values()) if layout.kind == "text" else set()
        if unit is not None and named and unit not in named:
            continue
        # A gauge that leaves zeros out at the end has not always the same decimals.
        same = len({press.shown.decimals for press in presses}) == 1
        form = GaugeFormat(
            name=name,
            framing=framing,
            layout=layout,
            unit=unit,
            pressing=Pressing(same_digits=same),
        )
        if all(_holds(form, press) for press in presses):
            yield form, candidate.questions


def _candidates(presses: Sequence[KnownPress]) -> Iterator[tuple[Framing, Candidate]]:
    raws = [press.raw for press in presses]
    for framed in text_framings(raws):
        for candidate in text_candidates(_sights(framed, presses)):
            yield framed.framing, candidate
    for framed in packet_framings(raws):
        for candidate in packet_candidates(_sights(framed, presses)):
            yield framed.framing, candidate


def _sights(framed: Framed, presses: Sequence[KnownPress]) -> list[Sight]:
    return [Sight(body, press.shown) for body, press in zip(framed.bodies, presses, strict=True)]


def _holds(form: GaugeFormat, press: KnownPress) -> bool:
    result = proof(form, press)
    return (
        isinstance(result, Reading)
        and str(result.value) == str(press.shown.value)
        and press.shown.unit in (None, result.unit)
    )


def _why_none(presses: Sequence[KnownPress], name: str) -> str:
    for press in presses:
        symptom = explain_bytes(press.raw)
        if symptom is not None:
            return symptom
    if len({press.raw for press in presses}) == 1:
        return (
            "The gauge sent the same bytes at different displays: is it holding its value, or is "
            "something else plugged in?"
        )
    odd = _odd_one_out(presses, name)
    if odd is not None:
        return (
            f"Press {odd + 1} does not fit to the others: was it typed as the display showed it, "
            "and was the button pressed once? Press it again."
        )
    return (
        "The displayed numbers are not in the frames in any way that is known: type all digits and "
        "decimals of each display and press once for each; if that does not help, the format needs "
        "a plug-in."
    )


def _odd_one_out(presses: Sequence[KnownPress], name: str) -> int | None:
    """Return which press stands in the way of a format for all the others, if just one does."""
    if len(presses) <= FEWEST_PRESSES:
        return None
    found = [
        at
        for at in range(len(presses))
        if any(_proved([*presses[:at], *presses[at + 1 :]], name, None))
    ]
    return found[0] if len(found) == 1 else None
