"""``seatproof try``: the kiln fan and a simulated gauge, in a window where there is a display."""

import argparse
import gc
import importlib
import os
import subprocess
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Final

import platformdirs

from seatproof.core.files import example
from seatproof.gui.commands.errors import CommandError

# What the window needs is loaded while another process finds out whether there can be one.
if TYPE_CHECKING:
    from argparse import _SubParsersAction

    from seatproof.gui.setup.model import SetupForm

_PROBE_PATIENCE_S: Final = 20.0


def add_parser(subparsers: "_SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add this command to the command line."""
    parser = subparsers.add_parser(
        "try",
        help="try the program on a simulated gauge",
        description="Open the window with the kiln fan's plan and a simulated gauge. Where there "
        "is no display, do the whole job once without one.",
    )
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Open the demonstration, or walk through it where nothing can be shown."""
    del args
    if not has_display():
        from seatproof.gui.commands import walkthrough

        print("There is no display here, so the job is done once without a window.\n")
        return walkthrough.run(argparse.Namespace(out=walkthrough.DEFAULT_FOLDER, screens=False))
    return show_window(default_archive("demonstration"), demonstration_form())


def open_window() -> int:
    """Open the window on the archive of this computer's user."""
    if not has_display():
        raise CommandError(
            "The window cannot be opened: there is no display, or a library that Qt needs is "
            "missing. For the job without a window: seatproof walkthrough."
        )
    from seatproof.gui.setup.model import SetupForm

    return show_window(default_archive("archive"), SetupForm())


def has_display() -> bool:
    """Tell whether a window can be opened, by trying so in another process.

    A failing Qt ends the whole process that asks it, so that this one must not be the first.
    """
    if sys.platform.startswith("linux") and not any(
        os.environ.get(name) for name in ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM")
    ):
        return False
    code = "from PySide6.QtWidgets import QApplication; QApplication([])"
    try:
        probe = subprocess.Popen(
            [sys.executable, "-c", code],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
    except OSError:
        return False
    importlib.import_module("seatproof.gui.workplace")  # much, and none of it Qt's
    try:
        return probe.wait(_PROBE_PATIENCE_S) == 0
    except subprocess.TimeoutExpired:
        probe.kill()
        probe.wait()
        return False


def default_archive(name: str) -> Path:
    """Return where an archive of that name lies for this user; its folder is made."""
    from seatproof.gui.workplace import ARCHIVE_SUFFIX

    folder = platformdirs.user_data_path("seatproof", appauthor=False)
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise CommandError(
            f"The folder {folder} for your data cannot be made ({error.strerror}); ask for the "
            "right to write there."
        ) from error
    return folder / f"{name}{ARCHIVE_SUFFIX}"


def demonstration_form() -> "SetupForm":
    """Return the form filled so that a newcomer can begin at once."""
    from seatproof.devices.simulated.shaft import load_shaft
    from seatproof.gui.setup.model import SIMULATED, SetupForm
    from seatproof.gui.simulation import shaft_beside

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


def show_window(archive_file: Path, form: "SetupForm") -> int:
    """Open the window on an archive and return when it was closed."""
    gc.disable()  # what is loaded now stays; `run_window` has it looked after again
    from seatproof.core.archive.file import Archive
    from seatproof.gui.app import run_window
    from seatproof.gui.workplace import Workplace

    return run_window(Workplace(Archive.open(archive_file)), form)
