"""Commands about the walk: where the next press belongs."""

from seatproof.core.plan.points import PointKey, Walk
from seatproof.core.record.commands.logbook import Logbook, given
from seatproof.core.record.errors import CommandRefusedError
from seatproof.core.record.kinds import Aimed, Place, Skipped, WalkChosen


class Walking(Logbook):
    """Where to go next."""

    __slots__ = ()

    def aim(self, key: PointKey, reason: str = "", *, owed: bool = False) -> None:
        """Make a point the next one; one that has readings needs a reason, and is then redone."""
        self._to_do(key)
        is_measured = bool(self.state.counting.get(key)) and self.state.is_complete(key)
        if is_measured and not reason.strip() and not owed:
            raise CommandRefusedError(
                f"Point {key} is measured already; give a reason for measuring it again."
            )
        if owed and not is_measured:
            owed = False  # nothing is measured again, so there is nothing to give a reason for
        text = given(reason, owed=owed) if owed or reason.strip() else ""
        self._log(Aimed(place=Place.of(key), reason=text, owed=owed))

    def move_on(self) -> PointKey:
        """Go to the next open point and leave the present one open."""
        key = self.state.next_open()
        if key is None or key == self.state.cursor:
            raise CommandRefusedError("No other point is open.")
        self._log(Aimed(place=Place.of(key)))
        return key

    def skip(
        self, reason: str = "", key: PointKey | None = None, *, owed: bool = False
    ) -> PointKey:
        """Leave out a point: the one that is next unless another is named."""
        key = self.state.cursor if key is None else key
        if key is None:
            raise CommandRefusedError("No point is open, so there is none to skip.")
        self._to_do(key)
        if self.state.is_complete(key):
            raise CommandRefusedError(
                f"Point {key} is measured already, so it cannot be skipped; measure it again, or "
                "choose another point."
            )
        self._log(Skipped(place=Place.of(key), reason=given(reason, owed=owed), owed=owed))
        return key

    def choose_walk(self, walk: Walk, *, there_and_back: bool) -> None:
        """Visit the points in another order from here on."""
        self._log(WalkChosen(walk=walk, there_and_back=there_and_back))
