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

_START = """
import json, sys, time
from pathlib import Path
from PySide6.QtWidgets import QApplication
from seatproof.core.archive.file import Archive
from seatproof.gui.commands.try_out import demonstration_form
from seatproof.gui.shared.theme import LIGHT, apply_theme
from seatproof.gui.window import MainWindow
from seatproof.gui.workplace import Workplace
app = QApplication(["start"])
apply_theme(app, LIGHT)
window = MainWindow(Workplace(Archive.open(Path(sys.argv[1]))), LIGHT, demonstration_form())
window.resize(1280, 800)
window.show()
window.begin(demonstration_form())
view = window.bench_view
while not view.model.line_is_up:
    app.processEvents()
print(json.dumps({"ready": time.time(), "loaded": sorted(sys.modules)}), flush=True)
view.simulated.gauge.press()
while view.model.progress[0] == 0:
    app.processEvents()
window.close()
"""


def rows() -> Iterable[Row]:
    """Start the program several times, and look at what it loaded."""
    with tempfile.TemporaryDirectory() as folder:
        archive = Path(folder) / "archive.seatproof"
        build(archive, INSPECTIONS)
        starts = [_start(archive) for _ in range(STARTS + 1)][1:]
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
    for module in (
        "seatproof.gui.window",
        "seatproof.core.evaluation.evaluate",
        "PySide6.QtWidgets",
    ):
        taken = [_import_s(module) for _ in range(3)]
        yield Row(
            what=f"import of {module}, by itself",
            goal="",
            unit="s",
            median=statistics.median(taken),
        )


def _start(archive: Path) -> tuple[float, list[str]]:
    began = time.time()
    done = subprocess.run(
        [sys.executable, "-c", _START, str(archive)],
        env=os.environ | {"QT_QPA_PLATFORM": "offscreen"},
        capture_output=True,
        check=True,
        timeout=_PATIENCE_S,
        text=True,
    )
    said = json.loads(done.stdout.splitlines()[0])
    return said["ready"] - began, [name.partition(".")[0] for name in said["loaded"]]


def _import_s(module: str) -> float:
    """Return how long an import takes a fresh interpreter, its own start taken off."""
    code = f"import time; t = time.perf_counter(); import {module}; print(time.perf_counter() - t)"
    done = subprocess.run(
        [sys.executable, "-c", code],
        env=os.environ | {"QT_QPA_PLATFORM": "offscreen"},
        capture_output=True,
        check=True,
        timeout=_PATIENCE_S,
        text=True,
    )
    return float(done.stdout)
