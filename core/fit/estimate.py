"""The estimate of a closed ring's fit, and what to beware of with it."""

from typing import Final

from seatproof.core.fit.closed import (
    Clearance,
    ClosedFit,
    ClosedRing,
    Mounting,
    OuterRing,
    State,
)
from seatproof.core.fit.errors import DimensionError
from seatproof.core.fit.heating import slip_on_temperature_c
from seatproof.core.fit.interference import SeatSize, Warmth, interference
from seatproof.core.fit.press import Cylinder, axial_grip_n, press
from seatproof.core.fit.smoothing import smoothed
from seatproof.core.units import REFERENCE_TEMPERATURE_C, UM_PER_MM

# Bounds of what the formulas were made for, ours: an inner ring's d/F is about 0.75 to 0.95.
_THINNEST: Final = 0.97
_THICKEST: Final = 0.60
_THINNEST_SHAFT: Final = 0.90
_LARGEST_STRAIN: Final = 0.002  # of interference over diameter; most steels yield thereabouts


def fit_closed(
    seat: SeatSize,
    ring: ClosedRing,
    *,
    shaft: Cylinder | None = None,
    running: Warmth | None = None,
    outer: OuterRing | None = None,
    roughness_um: tuple[float, float] | None = None,
    friction: float | None = None,
    gap_um: float | None = None,
    mounting: Warmth | None = None,
    heat_limit_c: float | None = None,
) -> ClosedFit:
    """Work out how a closed ring will sit on a seat as it was measured.

    Parameters
    ----------
    seat : SeatSize
    ring : ClosedRing
    shaft : Cylinder, optional
        From the bore of a hollow shaft to the ring's bore; solid steel unless stated.
    running : Warmth, optional
        Temperatures of shaft and ring while running.
    outer : OuterRing, optional
        While running; without it the outer ring is taken to be as warm as the inner one.
    roughness_um : (float, float), optional
        Ra of shaft and bore.
    friction : float, optional
        Coefficient of friction, for the axial grip; needs the ring's width.
    gap_um : float, optional
        Diametral gap for slipping the warmed ring on.
    mounting : Warmth, optional
        Its shaft temperature and expansions hold while mounting.
    heat_limit_c : float, optional
        Up to which the bearing's maker lets it be warmed.

    Raises
    ------
    DimensionError
        A quantity that cannot be used, or grip asked for without section and width.
    """
    body = shaft
    if ring.section is not None and body is None:
        body = Cylinder(0.0, ring.section.inner_mm)
    room = _state(seat, ring, body, Warmth(), None)
    warm = None if running is None else _state(seat, ring, body, running, outer)
    grip = None
    if friction is not None:
        if room.probable is None or ring.width_mm is None or ring.section is None:
            raise DimensionError(
                "coefficient of friction", friction, "give the ring's section and its width too"
            )
        grip = axial_grip_n(
            room.probable.pressure_mpa, ring.section.inner_mm, ring.width_mm, friction
        )
    heat = None
    if gap_um is not None:
        state = mounting or Warmth()
        most_um = room.interference.most_um
        reached_c = slip_on_temperature_c(most_um, gap_um, ring.bore.middle_mm, state)
        heat = Mounting(gap_um, state.shaft_c, reached_c, heat_limit_c)
    return ClosedFit(
        seat=seat,
        ring=ring,
        shaft=body,
        room=room,
        running=warm,
        smoothing=smoothed(room.interference.probable_um, ring.bore.middle_mm, roughness_um),
        grip_n=grip,
        mounting=heat,
        warnings=tuple(_warnings(ring, body, room, warm, outer, heat)),
    )


def _state(
    seat: SeatSize,
    ring: ClosedRing,
    shaft: Cylinder | None,
    warmth: Warmth,
    outer: OuterRing | None,
) -> State:
    found = interference(seat, ring.bore, warmth)
    if ring.section is None or shaft is None:
        return State(warmth, found, None, None, None, None)
    least, probable, most = (
        press(amount, ring.section, shaft)
        for amount in (found.least_um, found.probable_um, found.most_um)
    )
    clearance = None
    if ring.clearance_um is not None:
        low, high = ring.clearance_um
        warming = 0.0
        if outer is not None:
            inner_c = warmth.ring_c - REFERENCE_TEMPERATURE_C
            inner_um = warmth.ring_expansion * inner_c * ring.section.outer_mm * UM_PER_MM
            warming = outer.growth_um() - inner_um
        clearance = Clearance(
            least_um=low - most.growth_um + warming,
            most_um=high - least.growth_um + warming,
            probable_um=0.5 * (low + high) - probable.growth_um + warming,
        )
    return State(warmth, found, least, probable, most, clearance)


def _warnings(
    ring: ClosedRing,
    shaft: Cylinder | None,
    room: State,
    running: State | None,
    outer: OuterRing | None,
    mounting: Mounting | None,
) -> list[str]:
    found = []
    section = ring.section
    if section is None:
        found.append(
            "Without the ring's equivalent outside diameter no pressure, stress or loss of "
            "internal clearance can be worked out; the bearing's maker knows it."
        )
    else:
        found += _about_validity(section, shaft)
    states = [("at 20 °C", room)]
    if running is not None:
        states.append(("while running", running))
    for when, state in states:
        found += _about_state(ring, when, state)
    if running is not None and running.clearance is not None and outer is None:
        found.append(
            "The outer ring was taken to be as warm as the inner one; a cooler outer ring leaves "
            "less clearance than shown."
        )
    if mounting is not None:
        found += _about_heat(mounting)
    return found


def _about_validity(section: Cylinder, shaft: Cylinder | None) -> list[str]:
    found = []
    if section.ratio > _THINNEST:
        found.append(
            "The ring is thinner than the formula was made for: grooves and ribs count for more "
            "than its plain section, so stress and growth are rough."
        )
    if section.ratio < _THICKEST:
        found.append(
            "The ring is thicker than inner rings are: check that its own equivalent outside "
            "diameter was given and not that of the whole bearing."
        )
    if shaft is not None and shaft.ratio > _THINNEST_SHAFT:
        found.append(
            "The hollow shaft's wall is thin: it may buckle or go out of round under the ring, "
            "which the formula knows nothing of."
        )
    return found


def _about_state(ring: ClosedRing, when: str, state: State) -> list[str]:
    found = []
    most = state.interference.most_um
    if state.interference.least_um < 0.0 < most:
        found.append(f"The fit may be loose or tight {when}.")
    elif most <= 0.0:
        found.append(f"The fit is loose {when}: the ring can creep on its seat.")
    if most / UM_PER_MM > _LARGEST_STRAIN * ring.bore.middle_mm:
        found.append(
            f"The interference {when} is more than elastic formulas are good for; check the sizes "
            "that were entered."
        )
    stressed = state.most
    if stressed is not None and stressed.pressure_mpa > 0.0:
        if ring.yield_mpa is None:
            if when == "at 20 °C":
                found.append(
                    "No yield strength was given, so the stress was compared with none; the "
                    "bearing's maker says what a ring may bear."
                )
        elif stressed.ring_equivalent_mpa >= ring.yield_mpa:
            found.append(
                f"The ring may yield {when}: the formula no longer holds, and neither may the ring."
            )
    if state.clearance is not None and state.clearance.least_um < 0.0:
        found.append(
            f"The internal clearance may be used up {when}, so that the bearing would be "
            "preloaded; ask the bearing's maker before fitting."
        )
    return found


def _about_heat(mounting: Mounting) -> list[str]:
    if mounting.limit_c is None:
        return [
            "How hot this bearing may become is stated in its maker's instructions; no limit was "
            "given here."
        ]
    if mounting.temperature_c > mounting.limit_c:
        return [
            "Slipping the ring on with that gap needs more heat than the limit given; follow the "
            "bearing maker's instructions for another way of mounting."
        ]
    return []
