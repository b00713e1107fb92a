"""The entry point: ``seatproof`` opens the window, ``seatproof COMMAND`` does without one.

Exit status: 0 done, 1 the thing asked is not so, 2 the input cannot be used. What a person can mend
goes to standard error as one sentence; anything else is a fault of ours and shows its traceback.
"""

import argparse
import importlib
import os
import sys
from collections.abc import Sequence
from typing import Final

from seatproof.core.archive.errors import ArchiveError
from seatproof.core.equipment.errors import EquipmentError
from seatproof.core.limits.errors import LimitsError
from seatproof.core.people.errors import PeopleError
from seatproof.core.plan.errors import PlanError
from seatproof.core.quantities import QuantityError
from seatproof.core.record.errors import RecordError
from seatproof.core.verification.heads import HeadListError
from seatproof.core.version import PROGRAM
from seatproof.core.wording.errors import SheetError
from seatproof.devices.errors import DeviceError
from seatproof.gui.commands.errors import CommandError

# The modules are imported when they are asked for: a quick command need not wait for the slow ones.
COMMANDS: Final = (
    "try",
    "walkthrough",
    "simulate",
    "listen",
    "ports",
    "work-out",
    "plan",
    "limits",
    "fit",
    "foresee",
    "form",
    "sheet",
    "verify",
    "records",
    "archive",
)

WORLD_ERRORS: Final = (
    ArchiveError,
    CommandError,
    DeviceError,
    EquipmentError,
    HeadListError,
    LimitsError,
    PeopleError,
    PlanError,
    QuantityError,
    RecordError,
    SheetError,
)

UNUSABLE: Final = 2
INTERRUPTED: Final = 130


def main(argv: Sequence[str] | None = None) -> int:
    """Run the program with these arguments, by default those of the command line."""
    arguments = list(sys.argv[1:] if argv is None else argv)
    try:
        args = _parser(arguments).parse_args(arguments)
        status: int = args.run(args)
        sys.stdout.flush()
    except WORLD_ERRORS as error:
        sys.stderr.write(f"seatproof: {error}\n")
        return UNUSABLE
    except KeyboardInterrupt:
        return INTERRUPTED
    except BrokenPipeError:
        # Whoever read our output has heard enough; nothing is wrong. Python would complain once
        # more while it ends, so what is left of the output goes nowhere.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    return status


def _parser(arguments: Sequence[str]) -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="seatproof",
        description="Check the bearing seats of a shaft with a micrometer, and keep a record that "
        "can be trusted. Without a command the window opens.",
    )
    parser.add_argument("--version", action="version", version=PROGRAM)
    subparsers = parser.add_subparsers(metavar="COMMAND", title="commands")
    asked = arguments[0] if arguments and arguments[0] in COMMANDS else None
    for name in COMMANDS if asked is None else (asked,):
        module = importlib.import_module(f"seatproof.gui.commands.{_module_name(name)}")
        module.add_parser(subparsers)
    parser.set_defaults(run=_open_window)
    return parser


def _module_name(command: str) -> str:
    return {"try": "try_out"}.get(command, command.replace("-", "_"))


def _open_window(args: argparse.Namespace) -> int:
    del args
    from seatproof.gui.commands.try_out import open_window

    return open_window()


if __name__ == "__main__":
    sys.exit(main())
