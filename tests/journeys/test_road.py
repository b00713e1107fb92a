"""The whole job over a real pseudo-terminal: presses, one redone, a stop and start, seal, sheet."""

import io
import math
import queue
from decimal import Decimal
from pathlib import Path

import pypdf
import pytest

from seatproof.core.archive.file import Archive
from seatproof.core.cautions import CAUTIONS
from seatproof.core.evaluation.evaluate import evaluate
from seatproof.core.evaluation.requirement import Characteristic
from seatproof.core.files import example
from seatproof.core.record.errors import CommandRefusedError
from seatproof.core.record.events import check_chain
from seatproof.core.record.file import read_record, write_record
from seatproof.core.record.inspection import Inspection
from seatproof.core.record.kinds import Identification
from seatproof.core.record.state import LoggedReading, fold
from seatproof.core.sheet.compose import compose
from seatproof.core.sheet.document import build_sheet
from seatproof.core.verdict.rule import Verdict
from seatproof.core.version import PROGRAM
from seatproof.devices.gauge import GaugeReader, LineKind
from seatproof.devices.transport import LineSettings
from seatproof.gui.intake import press_of
from seatproof.gui.simulation import SimulatedGauge, SteadyHand
from seatproof.gui.workplace import local_now

PATIENCE_S = 10


class Bench:
    """A simulated gauge on a real line, and a program that reads it."""

    def __init__(self, plan_file: Path) -> None:
        self.gauge = SimulatedGauge.for_plan(plan_file, seed=7)
        self.hand = SteadyHand(self.gauge)
        self.arrivals: queue.Queue = queue.Queue()
        self.reader = None

    def connect(self) -> None:
        lines: queue.Queue = queue.Queue()
        self.reader = GaugeReader(
            self.gauge.source, LineSettings(), on_arrival=self.arrivals.put, on_line=lines.put
        )
        self.reader.start()
        while lines.get(timeout=PATIENCE_S).kind is not LineKind.CONNECTED:
            pass

    def disconnect(self) -> None:
        assert self.reader.stop(2.0)

    def press(self, inspection: Inspection, point) -> object:
        self.gauge.aim(point)
        self.hand.press()
        return inspection.take(press_of(self.arrivals.get(timeout=PATIENCE_S)))


@pytest.fixture
def bench():
    bench = Bench(example("kiln_fan.toml"))
    yield bench
    if bench.reader is not None:
        bench.reader.stop(2.0)
    bench.gauge.close()


def begin(archive: Archive, bench: Bench, truth) -> Inspection:
    inspection = Inspection.create(
        archive,
        plan_toml=example("kiln_fan.toml").read_text(),
        identification=Identification(sheet_number="SP-1", asset="Kiln 2", work_order="W 7"),
        actor="Łukasz Øst, Ελένη, Дмитрий",
        clock=local_now,
    )
    inspection.acknowledge_cautions(CAUTIONS)
    inspection.put_in_service(bench.gauge.in_service())
    inspection.note_temperatures(Decimal(str(truth.shaft_c)), Decimal(str(truth.gauge_c)))
    return inspection


def test_the_whole_job_over_a_real_line(tmp_path, bench, truth):
    path = tmp_path / "archive.seatproof"

    # Half of the points, the fifth measured again; then the program ends without a word.
    with Archive.open(path) as archive:
        inspection = begin(archive, bench, truth)
        identifier = inspection.state.inspection
        points = inspection.state.plan.points()
        assert len(points) == 60
        bench.connect()
        for point in points[:5]:
            assert isinstance(bench.press(inspection, point), LoggedReading)
        inspection.aim(points[4].key, "micrometer was not held square")
        again = bench.press(inspection, points[4])
        assert again.key == points[4].key
        for point in points[5:31]:
            bench.press(inspection, point)
        with pytest.raises(CommandRefusedError, match="29 points are not measured"):
            inspection.seal({}, "too early")
        bench.disconnect()

    # It starts again: on at the very next point.
    with Archive.open(path) as archive:
        inspection = Inspection.resume(archive, identifier, actor="Ann", clock=local_now)
        assert inspection.state.cursor == points[31].key
        bench.connect()
        for point in points[31:]:
            assert bench.press(inspection, point).key == point.key
        bench.disconnect()
        assert inspection.state.cursor is None
        content = compose(inspection.state, evaluate(inspection.state), PROGRAM)
        inspection.seal(content.model_dump(mode="json"), "Measured as recorded.")
        events = archive.events(identifier)

    check_chain(events)
    state = fold(events)
    assert len(state.readings) == 61
    assert sum(reading.counts for reading in state.readings.values()) == 60
    assert_agrees_with_truth(evaluate(state), truth)

    # The record goes through a file and still gives the same sheet, byte for byte.
    write_record(events, tmp_path / "record.json")
    sheet = build_sheet(fold(read_record(tmp_path / "record.json")))
    assert sheet == build_sheet(state)
    text = "\n".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(sheet)).pages)
    for reading in state.readings.values():
        assert reading.received.value in text
    for word in (
        "SP-1",
        "Kiln 2",
        "110.003",
        "110.025",
        "Łukasz",
        "Ελένη",
        "Дмитрий",
        "not proven",
    ):
        assert word in text


def assert_agrees_with_truth(evaluation, truth):
    """Compare results with the truth, within four standard errors of noise and rounding."""
    noise = truth.noise_um
    for result in evaluation.seats:
        seat = truth.seats[result.seat.id]
        count = len(result.seat.orientations_deg)
        for size in result.sizes:
            expected = seat.diameter_mm(size.point.z_mm, size.point.angle_deg)
            expected += truth.zero_error_um / 1000
            assert size.size_mm == pytest.approx(expected, abs=4.5 * noise / 1000)
        for station in result.stations:
            angles = [size.point.angle_deg for size in station.sizes]
            mean = math.fsum(seat.diameter_mm(station.z_mm, angle) for angle in angles) / count
            mean += truth.zero_error_um / 1000
            assert station.mean_mm == pytest.approx(mean, abs=4 * noise / 1000 / math.sqrt(count))
            assert station.ovality.ovality_um == pytest.approx(
                seat.ovality_um, abs=4 * noise * math.sqrt(8 / count)
            )
            apart = abs(station.ovality.major_axis_deg - seat.axis_deg) % 180
            spread = noise * math.sqrt(2 / count) / seat.ovality_um  # radians of the axis
            assert min(apart, 180 - apart) <= 4 * math.degrees(spread)
        zs = [station.z_mm for station in result.stations]
        middle = math.fsum(zs) / len(zs)
        lever = math.sqrt(math.fsum((z - middle) ** 2 for z in zs))
        length = float(result.seat.length_mm)
        slack = 4 * noise / math.sqrt(count) / lever * length
        assert result.taper.over(length) == pytest.approx(seat.taper_um, abs=slack)
    size_a = evaluation.seat("A").requirement(Characteristic.SIZE)
    assert size_a.verdict is Verdict.CONFORMS
    roundness = {
        result.seat.id: result.requirement(Characteristic.ROUNDNESS).verdict
        for result in evaluation.seats
    }
    # Seat A's plan states an assumption about odd lobes, seat B's does not.
    assert roundness == {"A": Verdict.CONFORMS, "B": Verdict.NOT_PROVEN}
