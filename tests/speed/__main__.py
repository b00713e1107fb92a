"""Run the benchmarks, print one table and write it down: ``make speed [ONLY=word]``.

The table goes to ``build/speed.json`` and, for people, to ``build/speed.md``. Every module runs in
a process of its own, so that none is measured amid what another one left in memory.
"""

import importlib
import json
import os
import pkgutil
import platform
import subprocess
import sys
from importlib.metadata import version
from pathlib import Path

import tests.speed
from tests.speed.table import Row

HEADINGS = ("what", "goal", "median", "99 %", "peer", "ratio", "")
OUTPUT = Path("build")
NOT_BENCHMARKS = {"__main__", "memory", "table"}
WRITES_MUCH = {"archive"}  # the disk is busy for a while after it
_ROWS_OF = "--rows-of"


def main(*arguments: str) -> int:
    """Run every module's ``rows()``, or those whose name holds a word."""
    if arguments[:1] == (_ROWS_OF,):
        module = importlib.import_module(f"tests.speed.{arguments[1]}")
        print(json.dumps([row.as_json() for row in module.rows()]))
        return 0
    only = arguments[0] if arguments else ""
    names = [
        module.name
        for module in pkgutil.iter_modules(tests.speed.__path__)
        if module.name not in NOT_BENCHMARKS and only in module.name
    ]
    if not names:
        sys.stderr.write(f'No benchmark is called "{only}".\n')
        return 2
    rows: list[Row] = []
    for name in sorted(names, key=lambda name: name in WRITES_MUCH):
        os.sync()  # what was written before is not to be waited for by what follows
        sys.stderr.write(f"{name} …\n")
        rows.extend(_rows_of(name))
    _print(rows)
    OUTPUT.mkdir(exist_ok=True)
    machine = _machine()
    (OUTPUT / "speed.json").write_text(
        json.dumps({"machine": machine, "rows": [row.as_json() for row in rows]}, indent=1),
        encoding="utf-8",
    )
    (OUTPUT / "speed.md").write_text(_markdown(machine, rows), encoding="utf-8")
    return 1 if any(row.met is False for row in rows) else 0


def _rows_of(name: str) -> list[Row]:
    done = subprocess.run(
        [sys.executable, "-m", "tests.speed", _ROWS_OF, name],
        stdout=subprocess.PIPE,
        check=True,
        text=True,
    )
    return [Row(**row) for row in json.loads(done.stdout.splitlines()[-1])]


def _machine() -> dict[str, str]:
    """Describe the machine as far as it tells, without its name."""
    return {
        "processor": _processor(),
        "cores": str(os.cpu_count()),
        "system": f"{platform.system()} {platform.release().partition('-')[0]}",
        "python": platform.python_version(),
        **{name: version(name) for name in ("numpy", "PySide6-Essentials")},
    }


def _processor() -> str:
    described = Path("/proc/cpuinfo")
    if described.exists():
        for line in described.read_text(encoding="utf-8").splitlines():
            if line.startswith("model name"):
                return line.partition(":")[2].strip()
    return platform.processor() or platform.machine()


def _print(rows: list[Row]) -> None:
    table = [HEADINGS, *(row.cells() for row in rows)]
    widths = [max(len(line[column]) for line in table) for column in range(len(HEADINGS))]
    for line in table:
        print("  ".join(cell.ljust(width) for cell, width in zip(line, widths, strict=True)))


def _markdown(machine: dict[str, str], rows: list[Row]) -> str:
    described = ", ".join(f"{name} {value}" for name, value in machine.items())
    lines = [HEADINGS, ("---",) * len(HEADINGS), *(row.cells() for row in rows)]
    return f"{described}\n\n" + "".join(f"| {' | '.join(line)} |\n" for line in lines)


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
