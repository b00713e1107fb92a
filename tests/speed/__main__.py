"""Run the benchmarks, print one table and write it as JSON: ``make speed [ONLY=word]``."""

import importlib
import json
import pkgutil
import platform
import sys
from pathlib import Path

import tests.speed
from tests.speed.table import Row

HEADINGS = ("what", "goal", "median", "99 %", "peer", "ratio", "")
OUTPUT = Path("build/speed.json")
NOT_BENCHMARKS = {"__main__", "table"}


def main(only: str = "") -> int:
    """Run every module's ``rows()``, or those whose name holds `only`."""
    names = [
        module.name
        for module in pkgutil.iter_modules(tests.speed.__path__)
        if module.name not in NOT_BENCHMARKS and only in module.name
    ]
    if not names:
        sys.stderr.write(f'No benchmark is called "{only}".\n')
        return 2
    rows: list[Row] = []
    for name in names:
        sys.stderr.write(f"{name} …\n")
        rows.extend(importlib.import_module(f"tests.speed.{name}").rows())
    _print(rows)
    OUTPUT.parent.mkdir(exist_ok=True)
    machine = {"system": platform.platform(), "python": platform.python_version()}
    OUTPUT.write_text(json.dumps({"machine": machine, "rows": [row.as_json() for row in rows]}))
    return 1 if any(row.met is False for row in rows) else 0


def _print(rows: list[Row]) -> None:
    table = [HEADINGS, *(row.cells() for row in rows)]
    widths = [max(len(line[column]) for line in table) for column in range(len(HEADINGS))]
    for line in table:
        print("  ".join(cell.ljust(width) for cell, width in zip(line, widths, strict=True)))


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:2]))
