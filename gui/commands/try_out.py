"""``seatproof try``: the kiln fan and a simulated gauge, in a window where there is a display."""

import argparse
import gc
import importlib
import os
import subprocess
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Final

from seatproof.gui.commands.errors import CommandError

# What the window needs is loaded while another process finds out whether there can be one.
if TYPE_CHECKING:
    from argparse import _SubParsersAction

    from seatproof.core.archive.file import Archive
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
    from seatproof.gui.setup.demonstration import demonstration_form

    return show_window(demonstration_form(), is_demonstration=True)


def open_window() -> int:
    """Open the window on the archive of this computer's user."""
    if not has_display():
        raise CommandError(
            "The window cannot be opened: there is no display, or a library that Qt needs is "
            "missing. For the job without a window: seatproof walkthrough."
        )
    from seatproof.gui.setup.model import SetupForm

    return show_window(SetupForm(), is_demonstration=False)


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


def show_window(form: "SetupForm", *, is_demonstration: bool) -> int:
    """Open the window on one's own archive or the demonstration's; return when it was closed."""
    gc.disable()  # what is loaded now stays; `run_window` has it looked after again
    from seatproof.core.archive.file import Archive
    from seatproof.gui.app import run_window
    from seatproof.gui.archives import DEMONSTRATION, OWN, Archives, default_archive
    from seatproof.gui.settings import load_settings, settings_file
    from seatproof.gui.workplace import Workplace

    kept_in = settings_file()
    settings, trouble = load_settings(kept_in)
    archives = Archives(
        Path(settings.archive_file) if settings.archive_file else default_archive(OWN),
        default_archive(DEMONSTRATION),
    )
    if is_demonstration:
        archive = Archive.open(archives.demonstration)
    else:
        archive, finding = open_own(archives.own)
        trouble = " ".join(filter(None, (trouble, finding)))
    return run_window(Workplace(archive), form, archives, trouble)


def open_own(chosen: Path) -> "tuple[Archive, str]":
    """Open the archive of one's own work; where that cannot be, the usual one and a sentence.

    A chosen archive that is not there is not made anew: its disk may only not be plugged in.
    """
    from seatproof.core.archive.errors import ArchiveError
    from seatproof.core.archive.file import Archive
    from seatproof.gui.archives import OWN, default_archive
    from seatproof.gui.shared.saying import again, say

    usual = default_archive(OWN)
    if chosen == usual:
        return Archive.open(usual), ""
    try:
        if chosen.exists():
            return Archive.open(chosen), ""
        finding = f"There is no file {chosen}."
    except ArchiveError as error:
        finding = str(error)
    return Archive.open(usual), say(
        "Your archive could not be opened, and {usual} is open instead. {finding} Plug its disk "
        "in and start again, or choose an archive in the settings.",
        usual=str(usual),
        finding=again(finding),
    )
