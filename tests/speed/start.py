"""From the start of the process to a bench that takes a press; and what must not be loaded for it.

The archive opened has a thousand inspections unless the environment says otherwise:
``STARTED_WITH=100000 make speed ONLY=start``. Several starts are made; the first one warms the
system's cache and is not counted.
"""

import json
import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterable
from pathlib import Path

from tests.speed.archive import build
from tests.speed.table import Row, percentile

INSPECTIONS = int(os.environ.get("STARTED_WITH", "1000"))
GOAL_S = 0.9
STARTS = 7
_PATIENCE_S = 60
# What opening the bench has no need of: numerics of others, PDF, signatures, pictures.
HEAVY = ("scipy", "reportlab", "pypdf", "pypdfium2", "PIL", "cryptography", "pyhanko", "tomlkit")
IMPORTS = ("seatproof.gui.window", "seatproof.core.evaluation.evaluate", "PySide6.QtWidgets")

# The command that opens the window, and in place of Qt's loop a hand that begins and presses once.
_START = """
import json, sys, time
from PySide6.QtWidgets import QApplication
def begin_and_press():
    app = QApplication.instance()
    window = next(one for one in app.topLevelWidgets() if hasattr(one, "bench_view"))
    window.begin(window.setup_page.form())
    view = window.bench_view
    while not view.model.line_is_up:
        app.processEvents()
        time.sleep(0.001)
    print(json.dumps({"ready": time.time(), "loaded": sorted(sys.modules)}), flush=True)
    view.simulated.gauge.press()
    while view.model.progress[0] == 0:
        app.processEvents()
    window.close()
    return 0
QApplication.exec = lambda *_: begin_and_press()
from seatproof.gui.main import main
sys.exit(main(["try"]))
"""


def rows() -> Iterable[Row]:
    """Start the program several times, and look at what it loaded."""
    with tempfile.TemporaryDirectory() as folder:
        archive = Path(folder, "seatproof", "demonstration.seatproof")
        archive.parent.mkdir()
        build(archive, INSPECTIONS)
        surroundings = _surroundings(Path(folder))
        starts = [_start(surroundings) for _ in range(STARTS + 1)][1:]
        imports = {name: [_import_s(name, surroundings) for _ in range(3)] for name in IMPORTS}
    taken_s = [seconds for seconds, _ in starts]
    yield Row(
        what=f"start to a bench that takes a press, {INSPECTIONS} inspections in the archive",
        goal=f"below {GOAL_S} s, warm",
        unit="s",
        median=statistics.median(taken_s),
        slowest_1_in_100=percentile(taken_s, 99),
        met=statistics.median(taken_s) < GOAL_S,
    )
    loaded = {name for _, modules in starts for name in modules}
    heavy = [name for name in HEAVY if name in loaded]
    yield Row(
        what=f"heavy packages loaded by then: {', '.join(heavy) or 'none'}",
        goal="none",
        unit="",
        median=len(heavy),
        met=not heavy,
    )
    for module, taken in imports.items():
        yield Row(
            what=f"import of {module}, by itself",
            goal="",
            unit="s",
            median=statistics.median(taken),
        )


def _surroundings(folder: Path) -> dict[str, str]:
    """Return the environment of a user whose data lie there; bytecode is kept, as is common."""
    kept = {name: text for name, text in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    return kept | {
        "QT_QPA_PLATFORM": "offscreen",
        "XDG_DATA_HOME": str(folder),
        "XDG_CONFIG_HOME": str(folder),
        "PYTHONPYCACHEPREFIX": str(Path(folder, "bytecode")),
    }


def _start(surroundings: dict[str, str]) -> tuple[float, list[str]]:
    began = time.time()
    done = subprocess.run(
        [sys.executable, "-c", _START],
        env=surroundings,
        capture_output=True,
        check=True,
        timeout=_PATIENCE_S,
        text=True,
    )
    said = json.loads(done.stdout.splitlines()[0])
    return said["ready"] - began, [name.partition(".")[0] for name in said["loaded"]]


def _import_s(module: str, surroundings: dict[str, str]) -> float:
    """Return how long an import takes a fresh interpreter, its own start taken off."""
    code = f"import time; t = time.perf_counter(); import {module}; print(time.perf_counter() - t)"
    done = subprocess.run(
        [sys.executable, "-c", code],
        env=surroundings,
        capture_output=True,
        check=True,
        timeout=_PATIENCE_S,
        text=True,
    )
    return float(done.stdout)
