"""Which other program holds a port, where the system lets itself be asked."""

import os
import sys
from pathlib import Path
from typing import Final

_PROCESSES: Final = Path("/proc")


def who_holds(port: str) -> str | None:
    """Name the process that has a port open, as ``name (process 1234)``; None where unknown.

    On Linux only, and only among processes that this account may look into. This process itself is
    named as well: it may be another window of the same program that holds the port.
    """
    return _holder(port, leave_out=None)


def who_else_holds(port: str) -> str | None:
    """Name another process that has a port open, as `who_holds` does."""
    return _holder(port, leave_out=str(os.getpid()))


def _holder(port: str, *, leave_out: str | None) -> str | None:
    if not sys.platform.startswith("linux"):
        return None
    try:
        wanted = Path(port).resolve(strict=True)
    except (OSError, RuntimeError):
        return None
    for process in sorted(_PROCESSES.glob("[0-9]*")):
        if process.name != leave_out and _has_open(process, wanted):
            return f"{_name_of(process)} (process {process.name})"
    return None


def _has_open(process: Path, wanted: Path) -> bool:
    try:
        opened = {link.readlink() for link in (process / "fd").iterdir()}
    except OSError:  # not ours to look into, or gone meanwhile
        return False
    # Who has the master of pseudo-terminals open is the gauge's end of one, as the simulation is.
    return wanted in opened and not any(path.name == "ptmx" for path in opened)


def _name_of(process: Path) -> str:
    try:
        return (process / "comm").read_text(encoding="utf-8", errors="replace").strip()
    except OSError:
        return "a program"
