"""Who holds the simulated micrometer: walks a plan's points, presses, pulls the cable."""

import math
import threading
import time
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from seatproof.core import figures
from seatproof.core.plan.model import Plan
from seatproof.core.plan.seat import Seat
from seatproof.core.units import Unit
from seatproof.devices.simulated.faults import Cable, Faults, Pause, Send, Step, Undelivered
from seatproof.devices.simulated.gauge import SimulatedMicrometer
from seatproof.devices.simulated.indicator import SimulatedIndicator
from seatproof.devices.simulated.line import SimulatedLine

HELP: Final = """\
  press, or Enter alone   measure at the point shown, send it, go on to the next
  back                    return to the point before
  at SEAT Z ANGLE         measure elsewhere with the next press: z in mm, angle in degrees
  unplug, replug          pull the cable, put it back
  quit                    end; so do Ctrl-C and the end of the input"""


class SimulatedPerson:
    """Who holds the simulated micrometer: walks the plan's points, presses, pulls the cable.

    Every method may be called from any thread, one call at a time being carried out.
    """

    def __init__(
        self,
        plan: Plan,
        micrometer: SimulatedMicrometer,
        line: SimulatedLine,
        *,
        say: Callable[[str], None],
        faults: Faults | None = None,
        indicator: SimulatedIndicator | None = None,
    ) -> None:
        self._indicator = indicator or SimulatedIndicator(micrometer.shaft, seed=1)
        self._faults = Faults((), seed=0) if faults is None else faults
        self._n_presses = 0
        self._unit = plan.unit
        self._visits = tuple(
            _Visit(point.seat_id, point.z_mm, point.angle_deg, plan.seat(point.seat_id))
            for point in plan.points()
            for _ in range(plan.seat(point.seat_id).repeats)
        )
        for visit in self._visits:
            # Better refused now than at the last point.
            micrometer.shaft.seat_at(visit.form, visit.z_mm)
        self._micrometer = micrometer
        self._line = line
        self._say = say
        self._next = 0
        self._elsewhere: _Visit | None = None
        self._one_at_a_time = threading.Lock()

    def introduce(self) -> None:
        """Say which port to open, and where the walk begins."""
        self._say(f"Port to open: {self._line.source}")
        self._say(f"{len(self._visits)} presses in this walk; help lists what can be done.")
        self._say_next()

    def press(self) -> bool:
        """Measure and send; return whether the walk has a point left.

        A press that nobody could receive is not counted: a person would press again.
        """
        with self._one_at_a_time:
            visit = self._elsewhere or self._visits[min(self._next, len(self._visits) - 1)]
            self._faults.prepare(self._micrometer, self._n_presses + 1)
            frame = self._measure(visit)
            self._n_presses += 1
            failure = self._play(self._faults.steps(frame, self._n_presses))
            if failure is not None:
                self._say(f"Not sent: {failure}.")
                return True
            self._say(f"{frame.decode('ascii').strip():<16} at {self._where(visit)}")
            if self._elsewhere is not None:
                self._elsewhere = None
            else:
                self._next = min(self._next + 1, len(self._visits))
                if self._next == len(self._visits):
                    self._say("That was the last point; another press is one more there.")
            return self._next < len(self._visits)

    def _measure(self, visit: "_Visit") -> bytes:
        """Hold the right instrument at a point, and return what it sends."""
        if visit.method == "two-point":
            self._micrometer.aim(visit.form, visit.z_mm, visit.angle_deg)
            return self._micrometer.press()
        assert visit.seat is not None
        vee_deg = visit.seat.vee_angle_deg
        self._indicator.aim(
            visit.form,
            visit.z_mm,
            visit.angle_deg,
            vee_angle_deg=None if vee_deg is None else float(vee_deg),
            place=visit.seat.indicator,
        )
        return self._indicator.press()

    def finish(self) -> None:
        """Let out what a faulty line still holds back."""
        with self._one_at_a_time:
            self._play(self._faults.rest())

    def _play(self, steps: Iterable[Step]) -> str | None:
        """Do what happens on the line; return why the value was not sent, None if it was."""
        for step in steps:
            match step:
                case Send(data):
                    if not self._line.send(data):
                        return "nobody listens" if self._line.is_plugged else "the cable is out"
                case Pause(seconds):
                    time.sleep(seconds)
                case Cable("unplug"):
                    self._line.unplug()
                case Cable():
                    self._line.replug(renamed=True)
                    self._say(f"Port to open: {self._line.source}")
                case Undelivered(reason):
                    return reason
        return None

    def obey(self, words: Sequence[str]) -> bool:
        """Do what a line of input says; return whether to go on."""
        match words:
            case [] | ["press"]:
                self.press()
            case ["back"]:
                with self._one_at_a_time:
                    self._next, self._elsewhere = max(0, self._next - 1), None
                    self._say_next()
            case ["at", seat, z, angle]:
                with self._one_at_a_time:
                    self._aim_elsewhere(seat, z, angle)
            case ["unplug"]:
                with self._one_at_a_time:
                    self._line.unplug()
                    self._say("The cable is out.")
            case ["replug"]:
                with self._one_at_a_time:
                    self._line.replug()
                    self._say(f"Port to open: {self._line.source}")
            case ["help"]:
                self._say(HELP)
            case ["quit"]:
                return False
            case _:
                self._say(f'"{" ".join(words)}" is not understood; help lists what can be done.')
        return True

    def _aim_elsewhere(self, seat: str, z: str, angle: str) -> None:
        try:
            z_mm, angle_deg = float(z), float(angle)
        except ValueError:
            z_mm = angle_deg = math.nan
        if not (math.isfinite(z_mm) and math.isfinite(angle_deg)):
            self._say("Z and ANGLE are numbers, as in: at A 180 30")
            return
        self._micrometer.shaft.seat_at(seat, z_mm)
        self._elsewhere = _Visit(seat, z_mm, angle_deg)
        self._say(f"The next press is at {self._where(self._elsewhere)}.")

    def _say_next(self) -> None:
        if self._next < len(self._visits):
            self._say(f"Next: {self._where(self._visits[self._next])}")

    def _where(self, visit: "_Visit") -> str:
        unit = "" if self._unit is Unit.MM else f" {self._unit.sign}"
        method = "" if visit.method == "two-point" else f" ({visit.method})"
        position = figures.position(visit.z_mm, self._unit)
        return f"{visit.set_id}, z {position}{unit}, {figures.angle(visit.angle_deg)}{method}"


@dataclass(frozen=True, slots=True)
class _Visit:
    """A place to measure at; `seat` is the plan's set of readings, None for one at will."""

    set_id: str
    z_mm: float
    angle_deg: float
    seat: Seat | None = None

    @property
    def form(self) -> str:
        """The seat of the shaft whose form is measured."""
        return self.set_id if self.seat is None else self.seat.same_seat_as or self.set_id

    @property
    def method(self) -> str:
        return "two-point" if self.seat is None else self.seat.method
