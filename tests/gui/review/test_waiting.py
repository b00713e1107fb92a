"""What waits, in which order, with what is wrong; the rows of readings; what if."""

from datetime import timedelta
from decimal import Decimal

from seatproof.core.record.inspection import Inspection
from seatproof.core.verdict.rule import Verdict
from seatproof.gui.review.deciding import Choice, Draft, ask_inspector, decide
from seatproof.gui.review.opened import earlier, earlier_sentences, open_for_review, what_if
from seatproof.gui.review.readings import equipment_lines, reading_rows
from seatproof.gui.review.waiting import faults_of, waiting
from tests.gui.review.conftest import START, seal_one, ticking

LATER = START + timedelta(days=400)


def test_the_oldest_comes_first_and_what_is_decided_waits_no_longer(archive, signer):
    second = seal_one(archive, "S-2", start=START + timedelta(days=2))
    first = seal_one(archive, "S-1")
    assert [entry.inspection for entry in waiting(archive)] == [first, second]
    decide(archive, first, Draft(Choice.REWORK, "too large"), signer("Bo"), ticking(LATER))
    assert [entry.inspection for entry in waiting(archive)] == [second]
    decide(archive, second, Draft(Choice.MEASURE_AGAIN, "odd"), signer("Bo"), ticking(LATER))
    assert waiting(archive) == ()


def test_faults_begin_with_what_does_not_conform(archive):
    inspection = seal_one(archive, spoilt=True)
    faults = faults_of(archive.events(inspection))
    assert faults[0].verdict is Verdict.DOES_NOT_CONFORM
    assert "Seat A, size" in faults[0].sentence
    assert any(fault.sentence == "The seal is not signed." for fault in faults)
    ask_inspector(archive, inspection, "Was it cold?", "Bo", ticking(LATER))
    assert faults_of(archive.events(inspection))[-1].sentence == (
        "Question, not answered yet: Was it cold?"
    )


def test_nothing_is_said_of_what_is_not_sealed(archive):
    inspection = seal_one(archive)
    assert faults_of(archive.events(inspection)[:-1]) == ()


def test_readings_tell_what_became_of_them(archive):
    inspection = seal_one(archive)
    opened = open_for_review(archive, waiting(archive)[0])
    rows = reading_rows(opened.state)
    withdrawn, again = rows[0], rows[1]
    assert not withdrawn.counts
    assert withdrawn.texts[5].startswith("withdrawn by event")
    assert withdrawn.texts[6] == "taken back: a chip under the anvil"
    assert again.counts
    assert again.texts[2] == withdrawn.texts[2] == "A 1/1"
    assert again.texts[4] == "110.0140"
    assert len(rows) == len(opened.state.readings)
    assert [row.seq for row in rows] == sorted(row.seq for row in rows)
    assert inspection == opened.state.inspection


def test_equipment_says_that_its_calibration_had_run_out(archive):
    seal_one(archive)
    (line,) = equipment_lines(open_for_review(archive, waiting(archive)[0]).state)
    assert "had run out on 2026-02-28" in line
    assert "the new one is on its way" in line


def test_what_if_changes_the_verdict_and_nothing_else(archive):
    inspection = seal_one(archive, spoilt=True)
    opened = open_for_review(archive, waiting(archive)[0])
    before = archive.events(inspection)
    # The point that broke the trend was read twice, as the program asks then.
    spoilt = {
        reading.seq
        for reading in opened.state.readings.values()
        if reading.key.seat_id == "A" and reading.value_mm > Decimal("110.03")
    }
    assert len(spoilt) == 2
    changed = [one for one in what_if(opened, spoilt) if one.is_changed]
    size = next(one for one in changed if (one.seat, one.characteristic) == ("A", "size"))
    assert size.before.verdict is Verdict.DOES_NOT_CONFORM
    assert size.after.verdict is Verdict.NOT_PROVEN
    assert {one.seat for one in changed} == {"A"}
    assert archive.events(inspection) == before


def test_an_inspection_is_compared_with_the_one_before(archive):
    seal_one(archive, "S-1", over_um=13.5)
    seal_one(archive, "S-2", start=START + timedelta(days=365), over_um=10.5)
    first, second = waiting(archive)
    trend = earlier(archive, open_for_review(archive, second), "A")
    said = " ".join(earlier_sentences(trend))
    assert "Against S-1 of 2026-03-02" in said
    assert "moved by −3.0 µm" in said
    alone = earlier(archive, open_for_review(archive, first), "A")
    assert "no earlier inspection" in earlier_sentences(alone)[0]


def test_a_resumed_inspection_can_still_be_read_after_review(archive, signer):
    inspection = seal_one(archive)
    decide(archive, inspection, Draft(Choice.ACCEPT, "fine"), signer("Bo"), ticking(LATER))
    state = Inspection.resume(archive, inspection, actor="Ann", clock=ticking(LATER)).state
    assert state.disposition.payload.decision == "accept"
