"""Commands about the shaft, the people, and what is measured with."""

from datetime import date
from decimal import Decimal
from typing import Literal

from seatproof.core.plan.points import PointKey
from seatproof.core.record.calibration import service_faults
from seatproof.core.record.commands.logbook import Logbook, given, made, named
from seatproof.core.record.entries import LoggedCheck
from seatproof.core.record.errors import CommandRefusedError
from seatproof.core.record.kinds import (
    Attention,
    CautionsAcknowledged,
    ConditionAnswered,
    DeviationNoted,
    GaugeInService,
    Identification,
    IdentificationCorrected,
    InspectorChanged,
    NoteAdded,
    Occasion,
    PhotoAdded,
    Place,
    ReferenceCheck,
    StandardInService,
    Temperatures,
)

Answer = Literal["met", "not met", "not applicable"]

_COLDEST_C = Decimal(-40)
_HOTTEST_C = Decimal(150)


class Preparing(Logbook):
    """What is said before and beside the presses."""

    __slots__ = ()

    def correct_identification(self, identification: Identification, reason: str) -> None:
        """Say anew which thing it is and what is to be done; the first words stay in the record."""
        self._log(IdentificationCorrected(identification=identification, reason=given(reason)))

    def acknowledge_cautions(self, cautions: tuple[str, ...], permit: str = "") -> None:
        self._log(made(CautionsAcknowledged, cautions=cautions, permit=permit.strip()))

    def answer_condition(self, seat: str, check: str, answer: Answer, note: str = "") -> None:
        """Answer one of the plan's conditions for one seat; "not met" needs a note."""
        if answer == "not met" and not note.strip():
            raise CommandRefusedError(
                f"Say what was found where “{check}” is not met on seat {seat}."
            )
        self._log(made(ConditionAnswered, seat=seat, check=check, answer=answer, note=note.strip()))

    def change_inspector(self, name: str) -> None:
        """Let another person go on; events are theirs from here on."""
        before, after = self.actor, named(name)
        if before == after:
            raise CommandRefusedError(f"{after} measures already.")
        self.actor = after
        try:
            self._log(made(InspectorChanged, from_person=before, to_person=after))
        except BaseException:
            self.actor = before
            raise

    def note_deviation(self, what: str, reason: str) -> None:
        """Note where the work knowingly departs from the plan."""
        self._log(made(DeviationNoted, what=what.strip(), reason=given(reason)))

    def add_note(
        self, text: str, *, key: PointKey | None = None, seat: str = "", check: str = ""
    ) -> None:
        """Add a remark to a point, a seat, one of its conditions, or the whole."""
        if not text.strip():
            raise CommandRefusedError("Write something into the note first.")
        place = None if key is None else Place.of(key)
        self._log(made(NoteAdded, text=text.strip(), place=place, seat=seat, check=check))

    def add_photo(self, photo: PhotoAdded) -> None:
        """Add a photo, whose bytes the store keeps already."""
        self._log(photo)

    # --- equipment -------------------------------------------------------------------------------

    def put_in_service(self, thing: GaugeInService | StandardInService) -> None:
        """Put a gauge or a setting standard in service.

        Raises
        ------
        CommandRefusedError
            Its calibration has run out or its range does not reach a seat, and it carries no
            `override_reason`; see `service_faults`.
        """
        faults = service_faults(thing, self.state.plan, self.today())
        if faults and not thing.override_reason.strip():
            raise CommandRefusedError(" ".join(faults))
        self._log(thing)

    def today(self) -> date:
        """Return the date at the bench."""
        return self.clock().date()

    def check_reference(self, check: ReferenceCheck) -> LoggedCheck:
        """Log a reference check, and return what it says of its gauge."""
        for what in ("shaft", "gauge", "standard"):
            text: str | None = getattr(check, f"{what}_c")
            if text is not None:
                _possible(what, Decimal(text))
        self._log(check)
        return self.state.checks[-1]

    def note_temperatures(
        self, shaft_c: Decimal, gauge_c: Decimal, standard_c: Decimal | None = None
    ) -> None:
        for what, value in (("shaft", shaft_c), ("gauge", gauge_c), ("standard", standard_c)):
            if value is not None:
                _possible(what, value)
        self._log(
            Temperatures(
                shaft_c=str(shaft_c),
                gauge_c=str(gauge_c),
                standard_c=None if standard_c is None else str(standard_c),
            )
        )

    def call_attention(self, what: Occasion, gauge: str = "", note: str = "") -> None:
        """Note that something happened to a gauge, which asks for a check before the next press."""
        self._log(made(Attention, what=what, gauge=gauge, note=note.strip()))


def _possible(what: str, value: Decimal) -> None:
    if not (value.is_finite() and _COLDEST_C <= value <= _HOTTEST_C):
        raise CommandRefusedError(
            f"A {what} temperature of {value} °C cannot be right; give it in degrees "
            f"Celsius, between {_COLDEST_C} and {_HOTTEST_C}."
        )
