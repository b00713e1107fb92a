"""Finding: by words, properties and days, page by page; the same when it is derived anew."""

import random
from datetime import UTC, date, datetime, timedelta, timezone
from decimal import Decimal

import pytest

from seatproof.core.archive.connection import transaction
from seatproof.core.archive.errors import SearchError
from seatproof.core.archive.file import Archive
from seatproof.core.archive.index import rebuild
from seatproof.core.archive.query import Query
from seatproof.core.evaluation.evaluate import evaluate
from seatproof.core.record.events import next_event
from seatproof.core.record.inspection import Inspection, Press
from seatproof.core.record.kinds import (
    GaugeInService,
    Identification,
    IdentificationCorrected,
    StandardInService,
)
from seatproof.core.sheet.compose import compose
from seatproof.core.version import PROGRAM

DERIVED = ("inspection", "inspector", "gauge_use", "seat_result", "inspection_text")


class Shop:
    """An archive, and a hand that measures shafts into it."""

    def __init__(self, archive, plan_of):
        self.archive = archive
        self.plan_of = plan_of
        self.now = datetime(2024, 5, 17, 8, 30, tzinfo=timezone(timedelta(hours=2)))

    def clock(self):
        self.now += timedelta(seconds=1)
        return self.now

    def begin(
        self, sheet_number, *, inspector="Åsa Test", gauge="M-1", plan=None, **identification
    ):
        inspection = Inspection.create(
            self.archive,
            plan_toml=self.plan_of() if plan is None else plan,
            identification=Identification(sheet_number=sheet_number, **identification),
            actor=inspector,
            clock=self.clock,
        )
        inspection.acknowledge_cautions(("Isolate and lock the machine.",))
        self.use(inspection, gauge)
        return inspection

    def use(self, inspection, gauge):
        inspection.put_in_service(
            GaugeInService(
                inventory_number=gauge, unit="mm", resolution="0.001", source="s", format="number"
            )
        )

    def press(self, inspection, value):
        return inspection.take(Press(Decimal(value), None, value, value.encode(), "number", 1))

    def fill(self, inspection, value="99.990"):
        while inspection.state.cursor is not None:
            self.press(inspection, value)

    def seal(self, inspection):
        content = compose(inspection.state, evaluate(inspection.state), PROGRAM)
        inspection.seal(content.model_dump(mode="json"), "Measured as recorded.")

    def numbers(self, **asked):
        return [entry.sheet_number for entry in self.archive.find(Query(**asked)).entries]


@pytest.fixture
def shop(archive, plan_of):
    return Shop(archive, plan_of)


@pytest.fixture
def three(shop):
    """Measure three shafts: one that conforms, one that does not, one that is not done."""
    first = shop.begin(
        "S-1", asset="Drying kiln 2, circulation fan", shaft_serial="KF-0417-03", work_order="W 7"
    )
    shop.fill(first)
    shop.seal(first)
    shop.now += timedelta(days=10)
    second = shop.begin(
        "S-2",
        inspector="Дмитрий",
        gauge="M-12",
        asset="Drying kiln 3, circulation fan",
        shaft_serial="KF-0417-04",
        work_order="W 8",
    )
    shop.fill(second, "99.900")
    shop.seal(second)
    shop.now += timedelta(days=10)
    third = shop.begin("S-3", asset="screw pump", work_order="W 8")
    shop.press(third, "99.990")
    third.skip("the keyway's edge lies there, naïve burr", None)
    return first, second, third


@pytest.mark.parametrize(
    ("asked", "found"),
    [
        ({}, ["S-3", "S-2", "S-1"]),
        ({"text": "kiln"}, ["S-2", "S-1"]),
        ({"text": "KILN circ"}, ["S-2", "S-1"]),  # beginnings of words, in any order
        ({"text": "circ kil"}, ["S-2", "S-1"]),
        ({"text": "iln"}, []),  # not the middle of a word
        ({"text": "KF-0417-03"}, ["S-1"]),
        ({"text": "0417"}, ["S-2", "S-1"]),
        ({"text": "asa"}, ["S-3", "S-1"]),  # accents make no difference
        ({"text": "дмитр"}, ["S-2"]),
        ({"text": "naive"}, ["S-3"]),
        ({"text": "keyway"}, ["S-3"]),
        ({"text": "first seat"}, ["S-3", "S-2", "S-1"]),
        ({"text": "M-12"}, ["S-2"]),
        ({"text": "S-2"}, ["S-2"]),
        ({"text": 'kiln" OR asset:screw*'}, []),  # signs of the search language mean nothing
        ({"text": "NOT kiln"}, []),
        ({"text": "kiln -"}, ["S-2", "S-1"]),
        ({"asset": "drying  kiln 2, Circulation Fan"}, ["S-1"]),
        ({"asset": "Drying kiln 2"}, []),
        ({"shaft": "KF-0417-04"}, ["S-2"]),
        ({"work_order": "w 8"}, ["S-3", "S-2"]),
        ({"sheet_number": "S-3"}, ["S-3"]),
        ({"seat": "A"}, ["S-3", "S-2", "S-1"]),
        ({"seat": "B"}, []),
        ({"inspector": "Åsa Test"}, ["S-3", "S-1"]),
        ({"inspector": "Asa Test"}, []),
        ({"gauge": "M-1"}, ["S-3", "S-1"]),
        ({"gauge": "M-12"}, ["S-2"]),
        ({"verdict": "conforms"}, ["S-1"]),
        ({"verdict": "does not conform"}, ["S-2"]),
        ({"sealed": True}, ["S-2", "S-1"]),
        ({"sealed": False}, ["S-3"]),
        ({"state": "being measured"}, ["S-3"]),
        ({"state": "sealed", "work_order": "W 8"}, ["S-2"]),
        ({"text": "kiln", "work_order": "W 8", "sealed": True, "gauge": "M-12"}, ["S-2"]),
        ({"text": "kiln", "verdict": "not proven"}, []),
        ({"opened_from": date(2024, 5, 18)}, ["S-3", "S-2"]),
        ({"opened_to": date(2024, 5, 17)}, ["S-1"]),
        ({"opened_from": date(2024, 5, 27), "opened_to": date(2024, 5, 27)}, ["S-2"]),
        ({"text": "kiln", "opened_from": date(2024, 5, 18)}, ["S-2"]),
        ({"opened_from": date(2024, 6, 1), "opened_to": date(2024, 5, 1)}, []),
    ],
)
def test_what_is_asked_for_is_found(shop, three, asked, found):
    assert shop.numbers(**asked) == found


@pytest.mark.parametrize("text", ["-", '"', "* ()"])
def test_text_without_a_word_is_refused(archive, text):
    with pytest.raises(SearchError, match="with a letter or a digit in it"):
        archive.find(Query(text=text))


def test_entry_says_what_a_list_shows(shop, three):
    (entry,) = shop.archive.find(Query(sheet_number="S-1")).entries
    first = three[0].state
    assert (entry.inspection, entry.title, entry.thing) == (
        first.inspection,
        "Trial shaft",
        "KF-0417-03",
    )
    assert (entry.sealed, entry.verdict, entry.state) == (True, "conforms", "sealed")
    assert (entry.inspectors, entry.gauges) == (("Åsa Test",), ("M-1",))
    assert (entry.opened_day, entry.plan_version, entry.revision) == ("2024-05-17", "1", 1)
    assert entry.events == first.last.seq
    assert entry.sealed_utc == first.last.utc


def test_day_is_that_of_the_wall_not_of_utc(shop):
    shop.now = datetime(2024, 3, 1, 0, 10, tzinfo=timezone(timedelta(hours=13)))
    shop.begin("east")
    shop.now = datetime(2024, 3, 1, 23, 50, tzinfo=timezone(timedelta(hours=-11)))
    shop.begin("west")
    day = date(2024, 3, 1)
    assert shop.numbers(opened_from=day, opened_to=day) == ["west", "east"]
    assert shop.numbers(opened_to=date(2024, 2, 29)) == []
    assert shop.numbers(opened_from=date(2024, 3, 2)) == []


def test_pages_hold_every_inspection_once_while_new_ones_arrive(shop):
    for number in range(25):
        shop.begin(f"P-{number}")
    seen, page = [], None
    while True:
        answer = shop.archive.find(Query(text="P"), page, size=7)
        seen += [entry.sheet_number for entry in answer.entries]
        shop.begin("P-new")
        page = answer.next_page
        if page is None:
            break
    assert seen == [f"P-{number}" for number in reversed(range(25))]
    with pytest.raises(SearchError, match="one inspection at least"):
        shop.archive.find(Query(), size=0)


def test_page_that_is_just_full_is_the_last(shop):
    for number in range(4):
        shop.begin(f"P-{number}")
    first = shop.archive.find(Query(), size=2)
    second = shop.archive.find(Query(), first.next_page, size=2)
    assert [len(first.entries), len(second.entries)] == [2, 2]
    assert second.next_page is None


def test_inspections_opened_in_the_same_instant_are_all_found(archive):
    for name in "abc":
        archive.append(
            next_event(
                inspection=name,
                last=None,
                moment=datetime(2024, 1, 1, tzinfo=UTC),
                actor="x",
                kind="created",
                payload={},
            )
        )
    assert sorted(entry.inspection for entry in archive.find(Query()).entries) == ["a", "b", "c"]
    assert archive.inspections() == ("a", "b", "c")


def test_inspection_that_cannot_be_read_keeps_nobody_from_the_others(shop, archive):
    """One that a newer program wrote, say: its events are kept all the same."""
    strange = next_event(
        inspection="x",
        last=None,
        moment=datetime(2024, 1, 1, tzinfo=UTC),
        actor="x",
        kind="created",
        payload={"plan_toml": "no plan", "identification": [], "revision": "one"},
    )
    archive.append(strange)
    for kind in ("reading", "gauge in service", "identification corrected", "sealed", "new kind"):
        strange = next_event(
            inspection="x",
            last=strange,
            moment=datetime(2024, 1, 1, tzinfo=UTC),
            actor="x",
            kind=kind,
            payload={"received": 1, "identification": 7, "content": []},
        )
        archive.append(strange)
    shop.begin("S-1")
    entries = archive.find(Query()).entries
    assert [entry.title for entry in entries] == ["Trial shaft", "This inspection cannot be read"]
    assert len(archive.events("x")) == 6


def test_corrected_identification_takes_the_place_of_the_first(shop):
    inspection = shop.begin("S-1", asset="kiln two", work_order="W 7")
    inspection._log(
        IdentificationCorrected(
            identification=Identification(sheet_number="S-1", asset="kiln 2", work_order="W 9"),
            reason="typed wrongly",
        )
    )
    assert shop.numbers(asset="kiln 2", work_order="W 9") == ["S-1"]
    assert shop.numbers(asset="kiln two") == shop.numbers(work_order="W 7") == []
    assert shop.numbers(text="typed") == ["S-1"]
    assert shop.archive.assets() == ("kiln 2",)


def as_person(inspection, actor):
    """Return the inspection as another person opens it."""
    return Inspection.resume(
        inspection.store, inspection.state.inspection, actor=actor, clock=inspection.clock
    )


def test_state_follows_review_and_disposition(shop):
    inspection = shop.begin("S-1")
    shop.fill(inspection)
    assert shop.numbers(state="being measured") == ["S-1"]
    shop.seal(inspection)
    assert shop.numbers(state="sealed") == ["S-1"]
    lead = as_person(inspection, "Quality Lead")
    lead.review("not accepted", "the burr at station two")
    assert shop.numbers(state="sent back", text="burr") == ["S-1"]
    lead.review("accepted")
    assert shop.numbers(state="reviewed") == ["S-1"]
    lead.dispose("concession", "one fitting only", authority="Chief engineer")
    assert shop.numbers(state="accepted by concession", text="chief fitting") == ["S-1"]
    for state in ("being measured", "sealed", "sent back", "reviewed"):
        assert shop.numbers(state=state) == []
    # Whoever reviewed did not measure, but is found by name.
    assert shop.numbers(inspector="Quality Lead") == []
    assert shop.numbers(inspector="Åsa Test") == shop.numbers(text="quality") == ["S-1"]


def test_revision_takes_the_place_of_the_one_it_revises(shop, archive):
    first = shop.begin("S-1", gauge="M-7")
    shop.fill(first)
    shop.seal(first)
    shop.now += timedelta(days=3)
    revision = first.revise("the wrong shaft was named")
    old, new = first.state.inspection, revision.state.inspection
    assert {entry.inspection for entry in archive.find(Query(state="superseded")).entries} == {old}
    entries = {entry.inspection: entry for entry in archive.entries()}
    assert entries[old].superseded_by == new
    assert (entries[new].superseded_by, entries[new].revision) == ("", 2)
    # The readings that were carried over were taken on the day they were taken.
    uses = archive.gauge_uses("M-7", date(2024, 5, 17), date(2024, 5, 17)).uses
    assert {use.entry.inspection: use.readings for use in uses} == {old: 6, new: 6}
    before = derived(archive)
    with transaction(archive._db):
        rebuild(archive._db)
    assert derived(archive) == before


# --- one gauge, one seat --------------------------------------------------------------------------


def test_failed_calibration_finds_the_inspections_of_that_gauge_and_time(shop):
    first = shop.begin("S-1", gauge="M-1")
    shop.press(first, "99.990")
    second = shop.begin("S-2", gauge="M-12")  # begins with the same letters
    shop.press(second, "99.990")
    shop.now += timedelta(days=5)
    shop.use(second, "M-1")
    shop.press(second, "99.990")
    shop.press(second, "99.991")
    shop.now += timedelta(days=2)
    shop.press(second, "99.991")
    shop.begin("S-3", gauge="M-1")  # put in service, never read

    def used(first, last):
        return [
            (use.entry.sheet_number, use.first_day, use.last_day, use.readings)
            for use in reversed(shop.archive.gauge_uses("M-1", first, last).uses)
        ]

    all_of_it = [
        ("S-1", "2024-05-17", "2024-05-17", 1),
        ("S-2", "2024-05-22", "2024-05-24", 3),
        ("S-3", "2024-05-24", "2024-05-24", 0),
    ]
    assert used(date(2024, 1, 1), date(2024, 12, 31)) == all_of_it
    assert used(date(2024, 5, 23), date(2024, 5, 23)) == all_of_it[1:2]
    assert used(date(2024, 5, 18), date(2024, 5, 21)) == []
    assert used(date(2024, 5, 24), date(2024, 5, 24)) == all_of_it[1:]
    assert used(date(2024, 5, 17), date(2024, 5, 17)) == all_of_it[:1]

    year = (date(2024, 1, 1), date(2024, 12, 31))
    newest = shop.archive.gauge_uses("M-1", *year, size=2)
    assert [use.entry.sheet_number for use in newest.uses] == ["S-3", "S-2"]
    oldest = shop.archive.gauge_uses("M-1", *year, newest.next_page, size=2)
    assert [use.entry.sheet_number for use in oldest.uses] == ["S-1"]
    assert oldest.next_page is None


def test_setting_standard_that_failed_is_asked_for_as_a_gauge_is(shop):
    inspection = shop.begin("S-1")
    inspection.put_in_service(
        StandardInService(
            inventory_number="N-100", size_mm="100.0004", expanded_mm="0.0006", description="ring"
        )
    )
    day = date(2024, 5, 17)
    (use,) = shop.archive.gauge_uses("N-100", day, day).uses
    assert (use.entry.sheet_number, use.readings) == ("S-1", 0)
    assert shop.numbers(gauge="N-100") == shop.numbers(text="ring N-100") == ["S-1"]


def test_trend_of_a_seat_is_what_each_sealed_inspection_found(shop):
    for number, value in enumerate(("99.990", "99.988", "99.985"), start=1):
        inspection = shop.begin(f"T-{number}", asset="kiln", shaft_serial="KF-1")
        shop.fill(inspection, value)
        shop.seal(inspection)
        shop.now += timedelta(days=100)
    shop.fill(shop.begin("other", asset="kiln", shaft_serial="KF-2"))
    trend = shop.archive.seat_trend("A", shaft="KF-1")
    assert [entry.sheet_number for entry, _ in trend] == ["T-1", "T-2", "T-3"]
    assert [result.mean_mm for _, result in trend] == pytest.approx([99.99, 99.988, 99.985])
    for _, result in trend:
        assert result.smallest_mm == result.largest_mm == pytest.approx(result.mean_mm)
        assert result.taper_um == pytest.approx(0, abs=1e-6)
        assert (result.nominal_mm, result.upper_mm) == (100, 100)
        assert result.lower_mm == 99.978  # h6 of ISO 286-2 at 100 mm: 0 / −22 µm
        assert result.verdict == "conforms"
    assert shop.archive.seat_trend("A", asset="kiln", shaft="KF-2") == ()  # not sealed
    assert shop.archive.seat_trend("B", asset="kiln") == ()
    with pytest.raises(SearchError, match="Name the asset or the shaft"):
        shop.archive.seat_trend("A")


def test_values_are_offered_in_order_and_once(shop):
    for asset in ("kiln 2", "kiln 10", "Kiln", "press", "kiln 2", ""):
        shop.begin("S", asset=asset, shaft_serial=asset[::-1])
    assert shop.archive.assets() == ("Kiln", "kiln 10", "kiln 2", "press")
    assert shop.archive.assets("kiln") == ("kiln 10", "kiln 2")
    assert shop.archive.assets("kiln", count=1) == ("kiln 10",)
    assert shop.archive.shafts("2") == ("2 nlik",)


def test_used_version_of_a_plan_is_known(shop):
    shop.begin("S-1")
    assert shop.archive.plan_is_used("Trial shaft", "1")
    assert not shop.archive.plan_is_used("Trial shaft", "2")
    assert not shop.archive.plan_is_used("Trial", "1")


# --- derived, not true ----------------------------------------------------------------------------


def derived(archive):
    rows = {}
    for table in DERIVED:
        rows[table] = archive._db.execute(f"SELECT * FROM {table} ORDER BY 1, 2").fetchall()
    rows["inspection_text"] = archive._db.execute(
        "SELECT rowid, * FROM inspection_text ORDER BY rowid"
    ).fetchall()
    return rows


def test_what_is_derived_is_the_same_when_made_anew(shop, three, archive):
    third = three[2]
    shop.use(third, "M-13")
    shop.press(third, "9.99")  # parked
    third.take_back("wrong point")
    before = derived(archive)
    assert all(before.values())
    with transaction(archive._db):
        rebuild(archive._db)
    assert derived(archive) == before


def test_rebuilding_tells_how_far_it_is(shop, three, archive):
    told = []
    with transaction(archive._db):
        rebuild(archive._db, lambda done, total: told.append((done, total)))
    assert told == [(0, 3), (1, 3), (2, 3), (3, 3)]


def test_reading_leaves_the_derived_rows_alone(shop, archive):
    """A press costs the same in an archive of one inspection and of a hundred thousand."""
    inspection = shop.begin("S-1")
    shop.press(inspection, "99.990")
    before = derived(archive)
    changes = archive._db.total_changes
    shop.press(inspection, "99.991")
    assert archive._db.total_changes == changes + 1  # the event's own row
    assert derived(archive) == before


def test_order_of_arrival_makes_no_difference_to_what_is_found(shop, three, archive, tmp_path):
    chains = [archive.events(inspection) for inspection in archive.inspections()]
    random.Random(3).shuffle(chains)
    with Archive.open(tmp_path / "other.seatproof") as other:
        for chain in chains:
            other.append_all(chain)
        assert derived(other) == derived(archive)


def test_page_beyond_every_number_is_a_page(shop, three):
    everything = shop.archive.find(Query(), size=10**30).entries
    assert len(everything) == len(three)
    assert shop.archive.find(Query(), 10**30).entries == everything
    assert shop.archive.find(Query(), -(10**30)).entries == ()
    year = (date(2024, 1, 1), date(2024, 12, 31))
    assert len(shop.archive.gauge_uses("M-1", *year, 10**30, size=10**30).uses) > 0
