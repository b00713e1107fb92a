"""What commands on an archive share: which archive, and how far a long piece of work is."""

import argparse
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Final

import platformdirs

from seatproof.gui.commands.errors import CommandError

_TOLD_EVERY_S: Final = 0.2


def add_archive(parser: argparse.ArgumentParser) -> None:
    """Add the choice of the archive; the user's own unless another is named."""
    parser.add_argument(
        "--archive",
        metavar="FILE",
        type=Path,
        default=None,
        help="the archive; that which the window opens unless stated",
    )


def archive_of(args: argparse.Namespace) -> Path:
    """Return the archive that is meant.

    Raises
    ------
    CommandError
        None was named, and the user has none yet.
    """
    if args.archive is not None:
        return Path(args.archive)
    own = platformdirs.user_data_path("seatproof", appauthor=False) / "archive.seatproof"
    if not own.exists():
        raise CommandError(
            "Nothing is kept here yet: the window makes an archive when it is first opened. Name "
            "another archive with --archive FILE."
        )
    return own


def told(what: str) -> Callable[[int, int], None]:
    """Return what shows on a terminal how far it is; elsewhere nothing is shown."""
    if not sys.stderr.isatty():
        return lambda done, total: None
    last = [0.0]

    def tell(done: int, total: int) -> None:
        now = time.monotonic()
        if done == total or now - last[0] > _TOLD_EVERY_S:
            last[0] = now
            share = 100 * done // total if total else 100
            sys.stderr.write(f"\r{what}: {share} %{chr(10) if done == total else ''}")
            sys.stderr.flush()

    return tell
