"""Every change to a record is found, and what was changed is named where that can be known."""

import json
import random
from dataclasses import replace
from datetime import timedelta, timezone
from pathlib import Path

import pytest

from seatproof.core.people.key_list import KeyList
from seatproof.core.record.events import event_hash, next_event
from seatproof.core.record.file import record_bytes
from seatproof.core.record.kinds import KINDS, CarriedOver, Superseded
from seatproof.core.verification import record
from seatproof.core.verification.findings import Outcome, Weight
from seatproof.core.verification.record import EQUAL, verify_events, verify_record
from seatproof.core.verification.words import lines

HERE = Path("record.json")
CONTENT = ("inspection", "seq", "utc", "offset_min", "actor", "kind", "payload", "previous")


@pytest.fixture(scope="module")
def content(case):
    return record_bytes(case.events)


@pytest.fixture
def unnamed(monkeypatch):
    """Leave out the search for what was changed, where the change as such is asked for."""
    monkeypatch.setattr(record, "what_changed", lambda events, index: None)


def rechained(events):
    """Return events whose hashes were all made anew, as whoever has the file can do."""
    made = []
    for event in events:
        made.append(
            next_event(
                inspection=event.inspection,
                last=made[-1] if made else None,
                moment=event.moment.astimezone(timezone(timedelta(minutes=event.offset_min))),
                actor=event.actor,
                kind=event.kind,
                payload=event.payload,
            )
        )
    return made


def test_whole_record_holds_and_says_by_whom(case):
    found = verify_events(case.events, case.keys)
    assert found.outcome is Outcome.HOLDS
    assert found.findings == ()
    assert found.numbers == EQUAL
    assert [(one.meaning, one.name, one.holds, one.signer) for one in found.signatures] == [
        ("measured by", "Åsa Test", True, "established"),
        ("reviewed and accepted by", "Quirin Lead", True, "established"),
        ("disposition decided by", "Quirin Lead", True, "established"),
    ]


def test_case_has_every_kind_of_event(case):
    # A revision alone has the other two; they are looked at in the tests of revisions.
    assert {event.kind for event in case.events} == KINDS.keys() - {
        CarriedOver.kind,
        Superseded.kind,
    } - {kind for kind, payload in KINDS.items() if "fitting" in payload.__module__}


def test_signer_without_a_list_is_not_established(case):
    found = verify_events(case.events)
    assert found.outcome is Outcome.HOLDS
    assert {one.signer for one in found.signatures} == {"not established"}
    assert found.findings[0].sentence.endswith(
        "signer not established, because no list of keys was given."
    )


def test_key_that_is_not_on_the_list_reads_so(case):
    nobody = KeyList.model_validate(
        {**case.keys.model_dump(by_alias=True), "people": case.keys.people[:1]}
    )
    found = verify_events(case.events, nobody)
    assert found.outcome is Outcome.HOLDS
    assert {one.why for one in found.signatures} == {"the key is not on the list"}


def test_key_of_somebody_else_is_a_contradiction(case):
    document = case.keys.model_dump(by_alias=True, mode="json")
    document["people"][1]["names"] = ["Eve"]
    found = verify_events(case.events, KeyList.model_validate(document))
    assert found.outcome is Outcome.ALTERED
    assert "contradicts the list of keys: the key is that of Eve" in found.findings[0].sentence


def test_key_replaced_before_the_signature_establishes_nobody(case):
    document = case.keys.model_dump(by_alias=True, mode="json")
    document["people"][1]["keys"][0]["until_utc"] = "2024-05-17T06:30:00Z"
    document["people"][1]["keys"][0]["why_ended"] = "passphrase lost"
    found = verify_events(case.events, KeyList.model_validate(document))
    assert found.outcome is Outcome.HOLDS
    assert found.signatures[0].why == (
        "the key was not in use at the time of the signature (passphrase lost)"
    )


# --- alterations ----------------------------------------------------------------------------------


def leaves(value, path=()):
    if isinstance(value, dict):
        for name, item in value.items():
            yield from leaves(item, (*path, name))
    elif isinstance(value, list):
        for number, item in enumerate(value):
            yield from leaves(item, (*path, number))
    else:
        yield path, value


def put(value, path, new):
    if not path:
        return new
    copy = dict(value) if isinstance(value, dict) else list(value)
    copy[path[0]] = put(copy[path[0]], path[1:], new)
    return copy


def others(value):
    """Return other values for a place: nearly the same, nothing, and another kind of thing."""
    return [change for change in (other(value), None, "", 7) if change != value]


def other(value):
    if isinstance(value, bool):
        return not value
    if isinstance(value, int | float):
        return value + 1
    if value is None:
        return "x"
    return value[:-1] + ("1" if value[-1:] != "1" else "2")


def places(event):
    """Return every place of an event with what stands there."""
    names = ("utc", "actor", "kind", "hash", "seq", "offset_min", "previous")
    yield from (((name,), getattr(event, name)) for name in names)
    yield from ((("payload", *path), value) for path, value in leaves(event.payload))


def altered_at(event, path, value):
    if path[0] == "payload":
        return replace(event, payload=put(event.payload, path[1:], value))
    return replace(event, **{path[0]: value})


def test_every_altered_place_of_every_event_is_found(small, unnamed):
    events, tried = small.events, 0
    for index, event in enumerate(events):
        for path, value in places(event):
            for new in others(value) if path[0] == "payload" else [other(value)]:
                altered = altered_at(event, path, new)
                changed = (*events[:index], altered, *events[index + 1 :])
                found = verify_events(changed, figures=False)
                assert found.outcome is Outcome.ALTERED, path
                assert found.findings[0].seq == event.seq + (path == ("seq",)), path
                tried += 1
    assert tried > 1000


def test_altered_places_under_the_seal_are_found(case, unnamed):
    events = case.events
    index = next(at for at, event in enumerate(events) if event.kind == "sealed")
    everywhere = list(places(events[index]))
    for path, value in random.Random(1).sample(everywhere, 60):
        altered = altered_at(events[index], path, other(value))
        found = verify_events((*events[:index], altered, *events[index + 1 :]), figures=False)
        assert found.outcome is Outcome.ALTERED, path


def test_removed_reordered_doubled_cut_and_foreign_events_are_found(small):
    events = small.events
    count = len(events)
    for index in range(count - 1):
        without = (*events[:index], *events[index + 1 :])
        swapped = (*events[:index], events[index + 1], events[index], *events[index + 2 :])
        doubled = (*events[: index + 1], *events[index:])
        for changed in (without, swapped, doubled):
            found = verify_events(changed, figures=False)
            assert found.outcome is Outcome.ALTERED
            assert found.findings[0].seq in (index + 1, index + 2)
            assert found.findings[0].changed == ""  # moved, and not altered
    foreign = replace(events[5], inspection="f" * 32)
    found = verify_events((*events[:5], foreign, *events[6:]), figures=False)
    assert "it is of another inspection" in found.findings[0].sentence


def told_apart(found):
    """Only what is no JSON any more, or no record by its heading, counts as unreadable."""
    if found.outcome is Outcome.UNREADABLE:
        sentence = found.findings[0].sentence
        return any(
            said in sentence
            for said in ("not JSON", "not a Seatproof record", "it has version", "holds no events")
        )
    return found.outcome is Outcome.ALTERED


def test_thousands_of_changed_bytes_are_found(small, unnamed):
    content, chance = record_bytes(small.events), random.Random(2)
    for position in chance.sample(range(len(content)), 1000):
        flipped = bytearray(content)
        flipped[position] ^= chance.randrange(1, 256)
        assert told_apart(verify_record(bytes(flipped), HERE, figures=False)), position


def test_missing_and_doubled_stretches_are_found(small, unnamed):
    content, chance = record_bytes(small.events), random.Random(3)
    for _ in range(200):
        start, end = sorted(chance.sample(range(len(content) + 1), 2))
        for changed in (
            content[:start] + content[end:],
            content[:end] + content[start:end] + content[end:],
            content[:start],
        ):
            assert told_apart(verify_record(changed, HERE, figures=False)), (start, end)


def test_unreadable_is_told_from_altered(content):
    for data, outcome in (
        (b"", Outcome.UNREADABLE),
        (b"PK\x03\x04", Outcome.UNREADABLE),
        (b'{"format":"seatproof record","version":9}', Outcome.UNREADABLE),
        (content[:-10], Outcome.UNREADABLE),
        (content + b"\n", Outcome.ALTERED),
        (content.replace(b'"99.990"', b'"99.991"', 1), Outcome.ALTERED),
    ):
        found = verify_record(data, HERE, figures=False)
        assert found.outcome is outcome
        assert found.exit_status == (2 if outcome is Outcome.UNREADABLE else 1)


def test_record_of_a_newer_program_is_unreadable_not_altered(case):
    events = list(case.events)
    more = next_event(
        inspection=events[-1].inspection,
        last=events[-1],
        moment=events[-1].moment,
        actor="x",
        kind="weighed",
        payload={},
    )
    found = verify_events((*events, more), figures=False)
    assert found.outcome is Outcome.UNREADABLE
    assert "does not know that kind" in found.findings[0].sentence


# --- what was changed -----------------------------------------------------------------------------


def reading_of(events):
    return next(index for index, event in enumerate(events) if event.kind == "reading")


def test_altered_value_is_named_with_what_it_was(case):
    index = reading_of(case.events)
    event = case.events[index]
    received = {**event.payload["received"], "value": "99.980", "value_mm": "99.980"}
    altered = replace(event, payload={**event.payload, "received": received})
    changed = (*case.events[:index], altered, *case.events[index + 1 :])
    (finding,) = verify_events(changed, figures=False).findings
    assert finding.changed == "the value was '99.990' and is now '99.980'"
    assert finding.sentence.endswith("What changed: the value was '99.990' and is now '99.980'.")


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"actor": "Bo Bench"}, "actor was 'Åsa Test' and is now 'Bo Bench'"),
        ({"seq": 99}, "seq was"),
        ({"offset_min": 60}, "offset_min was '120' and is now '60'"),
        ({"hash": "0" * 64}, "the event's hash was"),
        ({"previous": "0" * 64}, "previous was"),
    ],
)
def test_altered_field_is_named(case, change, said):
    index = reading_of(case.events)
    altered = replace(case.events[index], **change)
    changed = (*case.events[:index], altered, *case.events[index + 1 :])
    (finding,) = verify_events(changed, figures=False).findings
    assert finding.changed.startswith(said)


def test_altered_point_and_time_are_named(case):
    index = reading_of(case.events)
    event = case.events[index]
    place = {**event.payload["place"], "station": 2}
    for altered, said in (
        (
            replace(event, payload={**event.payload, "place": place}),
            "place.station was '1' and is now '2'",
        ),
        (
            replace(event, utc=event.utc.replace("T06:30", "T06:31")),
            "utc was",
        ),
    ):
        changed = (*case.events[:index], altered, *case.events[index + 1 :])
        (finding,) = verify_events(changed, figures=False).findings
        assert finding.changed.startswith(said)


def test_what_cannot_be_known_is_not_made_up(case):
    index = reading_of(case.events)
    event = case.events[index]
    altered = replace(event, payload={**event.payload, "reason": "rewritten at length"})
    changed = (*case.events[:index], altered, *case.events[index + 1 :])
    (finding,) = verify_events(changed, figures=False).findings
    # The reasons of other readings are tried, and one of them may be what stood there.
    assert finding.changed in ("", "reason was '' and is now 'rewritten at length'")
    longer = replace(event, payload={"nothing": "left"})
    changed = (*case.events[:index], longer, *case.events[index + 1 :])
    assert verify_events(changed, figures=False).findings[0].changed == ""


# --- what only signatures and figures show --------------------------------------------------------


def test_record_whose_chain_was_made_anew_is_given_away_by_its_signatures(case):
    events = list(case.events)
    index = reading_of(events)
    event = events[index]
    received = {**event.payload["received"], "value": "99.980", "value_mm": "99.980"}
    events[index] = replace(event, payload={**event.payload, "received": received})
    assert rechained(case.events) == list(case.events)
    found = verify_events(rechained(events), case.keys, figures=False)
    assert found.outcome is Outcome.ALTERED
    assert "a signature over another event" in found.findings[0].sentence
    # Even with the hash in the signature corrected, the signature itself cannot be made.
    forged = []
    for event in events:
        payload = event.payload
        if event.kind == "signature":
            payload = {**payload, "of_hash": forged[payload["of_seq"] - 1].hash}
        forged = rechained([*forged, replace(event, payload=payload)])
    found = verify_events(forged, case.keys, figures=False)
    assert [one.holds for one in found.signatures] == [False, False, False]
    assert found.findings[0].weight is Weight.DOES_NOT_HOLD
    assert "does not fit its words and its key" in found.findings[0].sentence


def test_signatures_copied_from_another_inspection_do_not_hold(case):
    copied = []
    for event in case.events:
        payload = event.payload
        if event.kind == "signature":
            payload = {**payload, "of_hash": copied[payload["of_seq"] - 1].hash}
        elsewhere = replace(
            event, payload=payload, inspection="11111111-2222-4333-8444-555555555555"
        )
        copied = rechained([*copied, elsewhere])
    found = verify_events(copied, case.keys, figures=False)
    assert found.outcome is Outcome.ALTERED
    assert [one.holds for one in found.signatures] == [False, False, False]


def test_figures_under_the_seal_are_worked_out_again(case):
    """A seal over figures that its own readings do not give is found."""
    events = [event for event in case.events if event.kind != "signature"]
    index = next(at for at, event in enumerate(events) if event.kind == "sealed")
    seal = events[index]
    content_ = json.loads(json.dumps(seal.payload["content"]))
    content_["requirements"][0]["value"] = "100.0000 mm"
    events[index] = replace(seal, payload={**seal.payload, "content": content_})
    found = verify_events(rechained(events[: index + 1]), figures=True)
    assert found.numbers == "differ"
    assert any("100.0000 mm" in finding.sentence for finding in found.findings)


def test_missing_signature_is_found(case):
    kinds = [event.kind for event in case.events]
    before = case.events[: kinds.index("sealed") + 1]
    events = rechained([*before, case.events[kinds.index("review")]])
    found = verify_events(events, figures=False)
    assert [finding.sentence.split(",")[1] for finding in found.findings] == [
        f" and nobody signed event {seq} ({kind})."
        for seq, kind in ((event.seq, event.kind) for event in events)
        if kind in ("sealed", "review")
    ]
    assert found.outcome is Outcome.ALTERED


def test_times_that_cannot_be_real_are_noted_and_hold(bench_of):
    bench = bench_of()
    bench.press("99.99")
    bench._now = bench._now.replace(year=2023)
    bench.press("99.99")
    found = verify_events(tuple(bench.store.kept))
    assert found.outcome is Outcome.HOLDS
    assert "The clock went back by" in found.findings[0].sentence


# --- revisions ------------------------------------------------------------------------------------


def test_revision_holds_and_its_carried_events_are_checked(fresh):
    bench = fresh.bench
    revised = bench.inspection.revise("wrong asset")
    new = bench.store.events(revised.state.inspection)
    for events in (fresh.events, new):
        assert verify_events(events, fresh.keys, figures=False).outcome is Outcome.HOLDS
    index = next(at for at, event in enumerate(new) if event.payload.get("kind_of") == "reading")
    carried = dict(new[index].payload)
    inner = {**carried["payload_of"], "reason": "another"}
    altered = [*new]
    altered[index] = replace(new[index], payload={**carried, "payload_of": inner})
    found = verify_events(rechained(altered), figures=False)
    assert found.outcome is Outcome.ALTERED
    assert "is not what it was in inspection" in found.findings[0].sentence


# --- in words and as JSON -------------------------------------------------------------------------


def test_findings_are_told_in_words_and_as_json(case, content):
    whole = verify_record(content, HERE, case.keys)
    assert json.loads(json.dumps(whole.as_json()))["outcome"] == "all holds"
    told = list(lines(whole))
    assert told[0] == "record.json: all holds"
    assert "    The figures under the seal, worked out again, are equal." in told
    assert any("measured by Åsa Test, inspector" in line and "established" in line for line in told)
    broken = verify_record(content.replace(b'"99.990"', b'"99.991"', 1), HERE)
    assert next(lines(broken)) == "record.json: DOES NOT HOLD"
    document = broken.as_json()
    assert document["outcome"] == "altered"
    assert document["records"][0]["findings"][0]["weight"] == "does not hold"


@pytest.mark.parametrize("utc", ["", "yesterday", "2024-02-30T06:30:00Z", "2024-05-17T06:30:00"])
def test_time_that_is_none_is_found_though_all_hashes_were_made_anew(case, utc):
    made = []
    for event in case.events:
        last = made[-1] if made else None
        event = replace(
            event,
            utc=utc if event.seq == 5 else event.utc,
            previous=event.previous if last is None else last.hash,
        )
        content = {name: getattr(event, name) for name in CONTENT}
        made.append(replace(event, hash=event_hash(**content)))
    found = verify_events(made, figures=False)
    assert found.outcome is Outcome.ALTERED
    assert found.findings[0].seq == 5
    assert "its time is not a time in UTC" in found.findings[0].sentence


def test_number_beyond_any_length_is_found_though_all_hashes_were_made_anew(case):
    """It is not signed: without signatures only the figures under the seal tell."""
    events = [event for event in case.events if event.kind != "signature"]
    sealed = next(index for index, event in enumerate(events) if event.kind == "sealed")
    events = events[: sealed + 1]
    at = next(index for index, event in enumerate(events) if event.kind == "reading")
    payload = {**events[at].payload, "received": {**events[at].payload["received"]}}
    payload["received"]["value_mm"] = "1e400"
    events[at] = replace(events[at], payload=payload)
    found = verify_events(rechained(events))
    assert found.outcome is Outcome.ALTERED
    assert any("under the seal" in one.sentence for one in found.findings)


def test_carried_over_number_that_no_hash_can_be_made_of_is_found(fresh):
    fresh.bench.inspection.revise("wrong asset")
    kept = fresh.bench.store.kept
    events = [event for event in kept if event.inspection != fresh.inspection]
    at = next(index for index, event in enumerate(events) if event.kind == CarriedOver.kind)
    events[at] = replace(events[at], payload={**events[at].payload, "offset_min": "9" * 60})
    found = verify_events(rechained(events), figures=False)
    assert found.outcome is not Outcome.HOLDS
    assert found.findings[0].seq == events[at].seq
