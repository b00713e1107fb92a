"""The fit with the ring that the plan describes, as an estimate."""

from collections.abc import Callable

from seatproof.core import figures
from seatproof.core.evaluation.evaluate import SeatEvaluation
from seatproof.core.evaluation.requirement import Characteristic
from seatproof.core.fit.closed import ClosedFit, State
from seatproof.core.fit.errors import FitError
from seatproof.core.fit.halves import HalvesFit, Joints
from seatproof.core.fit.interference import SeatSize
from seatproof.core.fit.of_plan import fit_of
from seatproof.core.fit.press import Press
from seatproof.core.units import UM_PER_MM, Unit
from seatproof.core.wording.content import Grid
from seatproof.core.words import Words

Row = tuple[str, ...]

_ESTIMATE = (
    "An estimate, never an acceptance: the bearing maker's instructions and limits come first."
)
_SHARES = (0.46, 0.16, 0.22, 0.16)


def fit_grids(result: SeatEvaluation, say: Words) -> tuple[Grid, ...]:
    """Return the fit of a seat's ring; empty where the plan or the readings say too little."""
    size = _seat_size(result)
    if size is None or result.seat.fit is None:
        return ()
    caption = say("Fit with the ring")
    try:
        found = fit_of(result.seat, size)
    except FitError as error:
        note = f"{say.again(str(error))} {say(_ESTIMATE)}"
        return (Grid(caption=caption, heads=(), shares=(), rows=(), note=note),)
    if found is None:
        return ()
    rows = (
        _halves(found, result.unit, say)
        if isinstance(found, HalvesFit)
        else _closed(found, result.unit, say)
    )
    heads = (
        ("", "smallest shaft", "mean shaft", "largest shaft")
        if isinstance(found, HalvesFit)
        else ("", "least", "probable", "most")
    )
    source = result.seat.fit.source
    notes = [
        *(say.again(warning) for warning in found.warnings),
        *((say("Figures of the ring: {source}.", source=source.rstrip(".")),) if source else ()),
        say(_ESTIMATE),
    ]
    grid = Grid(
        caption=caption,
        heads=tuple(say(head) for head in heads),
        shares=_SHARES,
        figures=(1, 2, 3),
        rows=tuple(rows),
        note=" ".join(notes),
    )
    return (grid,)


def _seat_size(result: SeatEvaluation) -> SeatSize | None:
    if not result.seat.has_size or result.smallest is None or result.largest is None:
        return None
    expanded_um = result.requirement(Characteristic.SIZE).expanded_um
    if expanded_um is None or result.mean_mm is None:
        return None
    return SeatSize(
        result.smallest.size_mm, result.largest.size_mm, result.mean_mm, expanded_um / UM_PER_MM
    )


def _closed(found: ClosedFit, unit: Unit, say: Words) -> list[Row]:
    bore = found.ring.bore
    lower, upper = figures.limits(bore.lower_mm, bore.upper_mm, unit)
    rows: list[Row] = [
        (say("bore ({source})", source=say.again(bore.source)), lower, "", f"{upper} {unit}")
    ]
    rows += _state(found.room, unit, say)
    return rows


def _state(state: State, unit: Unit, say: Words) -> list[Row]:
    fit = state.interference

    def signed(length_um: float) -> str:
        return figures.small(length_um, unit, sign=True)

    rows: list[Row] = [
        (
            say("interference at 20 °C (+ tight)"),
            signed(fit.least_um),
            f"{signed(fit.probable_um)} ± {figures.small(fit.give_or_take_um, unit)}",
            signed(fit.most_um),
        )
    ]
    presses = (state.least, state.probable, state.most)
    if all(presses):
        rows += [
            _row(say("pressure"), presses, lambda press: f"{press.pressure_mpa:.1f} MPa"),
            _row(
                say("hoop stress at the ring's bore"),
                presses,
                lambda press: f"{press.ring_hoop_mpa:.0f} MPa",
            ),
            _row(
                say("raceway grows by"), presses, lambda press: figures.small(press.growth_um, unit)
            ),
        ]
    if state.clearance is not None:
        left = state.clearance
        rows.append(
            (
                say("internal clearance left"),
                *(
                    figures.small(each, unit)
                    for each in (left.least_um, left.probable_um, left.most_um)
                ),
            )
        )
    return rows


def _row(label: str, presses: tuple[Press | None, ...], text: Callable[[Press], str]) -> Row:
    return (label, *(figures.NOTHING if press is None else text(press) for press in presses))


def _halves(found: HalvesFit, unit: Unit, say: Words) -> list[Row]:
    joints = (found.smallest, found.probable, found.largest)
    closing = figures.size_unit(found.closing_mm, unit)

    def each(text: Callable[[Joints], str]) -> Row:
        return tuple(text(one) for one in joints)

    rows: list[Row] = [
        (
            say("over the closing diameter {closing}", closing=closing),
            *each(lambda one: figures.small(one.over_um, unit, sign=True)),
        ),
        (say("each joint open by"), *each(lambda one: figures.small(one.opening_each_um, unit))),
        (say("loose by"), *each(lambda one: figures.small(one.looseness_um, unit))),
    ]
    if any(one.forced_strain > 0.0 for one in joints):
        rows.append(
            (
                say("hoop stress if forced shut (never do)"),
                *each(lambda one: f"{one.forced_stress_mpa:.0f} MPa"),
            )
        )
    return rows
