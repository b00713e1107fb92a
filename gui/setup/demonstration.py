"""The form of the page before the bench, filled so that a newcomer can begin at once."""

from seatproof.core.files import example
from seatproof.gui.setup.model import SIMULATED, SetupForm
from seatproof.gui.simulation import shaft_beside


def demonstration_form() -> SetupForm:
    """Return the form of the kiln fan and its simulated gauge."""
    from seatproof.devices.simulated.shaft import load_shaft

    plan_file = example("kiln_fan.toml")
    shaft = load_shaft(shaft_beside(plan_file))
    return SetupForm(
        plan_file=str(plan_file),
        inspector="Newcomer",
        asset="Drying kiln 2, circulation fan",
        shaft_serial="KF-0417-03",
        work_order="demonstration",
        source=SIMULATED,
        shaft_c=f"{shaft.temperature_c:g}",
        gauge_c=f"{shaft.gauge.temperature_c:g}",
    )
