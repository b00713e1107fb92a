"""What is written over and round the polar plot of the bench; no Qt."""

from collections.abc import Mapping
from typing import Final

from seatproof.core import figures
from seatproof.core.form.circle import ReferenceCircle
from seatproof.core.plots.polar import PolarPlot
from seatproof.core.units import Unit
from seatproof.gui.bench.set_form import SetForm
from seatproof.gui.shared.saying import again, say, wording

_CIRCLES: Final[Mapping[ReferenceCircle, tuple[str, str]]] = {
    ReferenceCircle.LSC: (wording("about the least-squares circle (LSC)"), wording("LSC")),
    ReferenceCircle.MZC: (wording("about the minimum zone circles (MZC)"), wording("MZC")),
}


def header(plot: PolarPlot, form: SetForm, unit: Unit) -> tuple[str, ...]:
    """Return the wordings over the plot, the longest first; each states what it has room for."""
    times = say("magnified {times}×", times=str(plot.magnification))
    rings = say("rings every {step}", step=again(figures.tolerance(plot.grid_um, unit)))
    if form.circle is None:
        return (
            f"{say('two-point form (radial; odd lobes unseen)')}, {times}, {rings}",
            f"{say('two-point form, odd lobes unseen')}, {times}",
            f"{say('two-point form')}, {times}",
            times,
            f"{plot.magnification}×",
        )
    if not plot.traces:
        return (*((again(form.why_not),) if form.why_not else ()), say("no profile yet"))
    about, circle = (again(words) for words in _CIRCLES[form.circle])
    return (
        f"{say('radial deviations')} {about}, {times}, {rings}",
        f"{say('radial deviations')} {about}, {times}",
        f"{say('radial')}, {circle}, {times}",
        f"{circle}, {times}",
        times,
        f"{plot.magnification}×",
    )


def notes(plot: PolarPlot, form: SetForm, unit: Unit) -> tuple[str, ...]:
    """Say how to read the plot of an indicator's readings."""
    if form.circle is None:
        return ()
    if not plot.traces:
        return (again(form.why_not),) if form.why_not else (say("no profile yet"),)
    about, _ = (again(words) for words in _CIRCLES[form.circle])
    said = [
        say(
            "Radial deviations {about}, magnified {times}× against the circle; grid ring {step}.",
            about=about,
            times=str(plot.magnification),
            step=again(figures.tolerance(plot.grid_um, unit)),
        )
    ]
    if form.sets:
        said.append(
            say(
                "The profile follows from the sets {sets} together; a vee block alone shows none.",
                sets=", ".join(form.sets),
            )
        )
    else:
        said.append(say("How far the shaft was set up off its axis is left out."))
    return tuple(said)


def from_what(form: SetForm) -> str:
    """Return from what the tip of a point says that it departs."""
    if form.circle is None:
        return say("from the mean circle")
    return say("from the reference circle")
