"""After the seal: signatures, review, questions, disposition, revision."""

import json
from dataclasses import replace
from datetime import timedelta

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from seatproof.core.people.signer import Signer
from seatproof.core.record.errors import ChainBrokenError, CommandRefusedError
from seatproof.core.record.events import check_chain
from seatproof.core.record.inspection import Inspection
from seatproof.core.record.signing import ACCEPTED, DECIDED, EXAMINED, MEASURED, signature_holds
from seatproof.core.record.state import fold
from tests.core.conftest import MemoryStore


class WholeStore(MemoryStore):
    """A store that takes several events at once, or none."""

    def append_all(self, events):
        self.kept.extend(events)


def signer(name="Åsa Test", roles=("inspector",), person="a" * 32):
    return Signer(person, name, roles, Ed25519PrivateKey.generate())


def signed(bench, by, event, meaning=MEASURED):
    return by.sign(
        inspection=event.inspection,
        of_seq=event.seq,
        of_hash=event.hash,
        meaning=meaning,
        moment=bench.clock(),
    )


@pytest.fixture
def sealed(bench_of):
    """Return what opens, fills and seals an inspection."""

    def made(content=None, **changes):
        bench = bench_of(WholeStore(), **changes)
        bench.fill(lambda point: "99.99" if point.seat_id == "A" else "89.99")
        if bench.state.plan.conditions:
            for seat in ("A", "B"):
                for condition in bench.state.plan.conditions:
                    bench.inspection.answer_condition(seat, condition, "met")
        bench.inspection.seal(content or {}, "I measured.")
        return bench

    return made


def as_other(bench, name="Quirin Lead"):
    bench.inspection = Inspection.resume(
        bench.store, bench.state.inspection, actor=name, clock=bench.clock
    )
    return bench.inspection


# --- signatures -----------------------------------------------------------------------------------


def test_signature_is_over_bytes_anybody_can_write_down(sealed):
    bench = sealed()
    person = signer()
    seal = bench.state.sealed_by
    said = signed(bench, person, seal)
    bench.inspection.sign(said)
    # The message by hand: canonical JSON has its keys in order and no blanks.
    content = {
        "format": "seatproof signature 1",
        "inspection": bench.state.inspection,
        "meaning": "measured by",
        "name": "Åsa Test",
        "of_hash": seal.hash,
        "of_seq": seal.seq,
        "person": "a" * 32,
        "public_key": person.private.public_key().public_bytes_raw().hex(),
        "role": "inspector",
        "utc": said.utc,
    }
    message = json.dumps(content, separators=(",", ":"), ensure_ascii=False).encode()
    person.private.public_key().verify(bytes.fromhex(said.signature), message)
    (entry,) = bench.state.signatures_of(seal.seq)
    assert entry.payload == said


@pytest.mark.parametrize(
    "change",
    [
        {"meaning": "witnessed by"},
        {"name": "Bo"},
        {"role": "auditor"},
        {"person": "b" * 32},
        {"utc": "2020-01-01T00:00:00.000000Z"},
        {"signature": "00" * 64},
        {"public_key": "01" * 32},
    ],
)
def test_signature_with_other_words_is_refused(sealed, change):
    bench = sealed()
    said = signed(bench, signer(), bench.state.sealed_by).model_copy(update=change)
    assert not signature_holds(bench.state.inspection, said)
    count = len(bench.store.kept)
    with pytest.raises(CommandRefusedError, match="does not fit the key"):
        bench.inspection.sign(said)
    assert len(bench.store.kept) == count


def test_signature_over_another_record_is_refused(sealed):
    bench, other = sealed(), sealed()
    said = signed(other, signer(), other.state.sealed_by)
    with pytest.raises(CommandRefusedError, match="over another record"):
        bench.inspection.sign(said)
    assert not signature_holds(bench.state.inspection, said)


def test_review_waits_for_the_signature_that_the_plan_asks_for(sealed, strict_of):
    bench = sealed(toml=strict_of(checks="", signatures=True))
    assert [entry.seq for entry in bench.state.signature_owed] == [bench.state.sealed_by.seq]
    with pytest.raises(CommandRefusedError, match="The seal is not signed yet"):
        as_other(bench).review("accepted")
    bench.inspection.sign(signed(bench, signer(), bench.state.sealed_by))
    assert bench.state.signature_owed == ()
    review = bench.inspection.review("accepted")
    lead = signer("Quirin Lead", ("quality lead",), "c" * 32)
    assert [entry.seq for entry in bench.state.signature_owed] == [review.seq]
    bench.inspection.sign(signed(bench, lead, review, ACCEPTED))
    assert bench.state.signature_owed == ()


def test_who_did_it_signs_for_it(sealed):
    bench = sealed()
    other = signer("Bo Bench", person="b" * 32)
    with pytest.raises(CommandRefusedError, match=r"is by Åsa Test, who alone can sign it so"):
        bench.inspection.sign(signed(bench, other, bench.state.sealed_by))
    auditor = signer("Cleo", ("auditor",), "c" * 32)
    bench.inspection.sign(signed(bench, auditor, bench.state.sealed_by, EXAMINED))


@pytest.mark.parametrize("allowed", [False, True])
def test_other_name_with_the_same_key_does_not_make_another_person(sealed, strict_of, allowed):
    bench = sealed(toml=strict_of(checks="", same_person=allowed))
    roles = ("inspector", "quality lead")
    person = signer(roles=roles)
    bench.inspection.sign(signed(bench, person, bench.state.sealed_by))
    review = as_other(bench, "Asa T.").review("accepted")
    alias = Signer(person.person, "Asa T.", roles, person.private)
    if allowed:
        bench.inspection.sign(signed(bench, alias, review, ACCEPTED))
        assert bench.state.reviewed_by_measurer
    else:
        with pytest.raises(CommandRefusedError, match="signed this inspection as having measured"):
            bench.inspection.sign(signed(bench, alias, review, ACCEPTED))


# --- review and disposition -----------------------------------------------------------------------


def test_who_measured_does_not_review(sealed):
    bench = sealed()
    for name in ("Åsa Test", " åsa test "):
        with pytest.raises(CommandRefusedError, match="asks for another person's review"):
            as_other(bench, name).review("accepted")
    as_other(bench).review("accepted", "fine")
    assert bench.state.review.payload.note == "fine"
    assert not bench.state.reviewed_by_measurer


def test_who_measured_may_review_where_the_plan_says_so_and_then_it_shows(sealed, strict_of):
    bench = sealed(toml=strict_of(checks="", same_person=True))
    bench.inspection.review("accepted")
    assert bench.state.reviewed_by_measurer


def test_review_question_answer_disposition_follow_the_seal(sealed):
    bench = sealed()
    question = as_other(bench).ask("Why was 2/1 done twice?")
    assert [entry.seq for entry in bench.state.open_questions()] == [question.seq]
    as_other(bench, "Åsa Test").answer(question.seq, "A burr.")
    assert bench.state.open_questions() == ()
    with pytest.raises(CommandRefusedError, match="waits for no answer"):
        bench.inspection.answer(question.seq, "Once more.")
    lead = as_other(bench)
    with pytest.raises(CommandRefusedError, match="says why"):
        lead.review("not accepted")
    lead.review("not accepted", "point 2/1 again")
    lead.review("accepted", "seen")
    lead.dispose("accept", "within limits")
    assert bench.state.review.payload.finding == "accepted"
    assert bench.state.disposition.payload.decision == "accept"
    assert check_chain(bench.store.kept) == len(bench.store.kept)
    assert fold(bench.store.kept) == bench.state


def test_what_does_not_conform_is_not_accepted(sealed):
    bench = sealed({"verdict": "does not conform"})
    lead = as_other(bench)
    with pytest.raises(CommandRefusedError, match="is not accepted; decide on rework"):
        lead.dispose("accept", "never mind")
    with pytest.raises(CommandRefusedError, match="a concession names its authority"):
        lead.dispose("concession", "never mind")
    event = lead.dispose("concession", "runs slowly", authority="Design office", number="C-7")
    assert bench.state.disposition.event == event


@pytest.mark.parametrize(
    "command",
    [
        lambda do: do.review("accepted"),
        lambda do: do.ask("Why?"),
        lambda do: do.dispose("accept", "r"),
        lambda do: do.revise("r"),
    ],
)
def test_nothing_is_reviewed_before_the_seal(bench_of, command):
    bench = bench_of(WholeStore())
    count = len(bench.store.kept)
    with pytest.raises(CommandRefusedError, match="not sealed yet"):
        command(bench.inspection)
    assert len(bench.store.kept) == count


def test_notes_photos_and_deviations_follow_the_seal(sealed):
    bench = sealed()
    bench.inspection.add_note("shaft went back to the store", seat="A")
    bench.inspection.note_deviation("stored in the open", "no room")
    assert (len(bench.state.notes), len(bench.state.deviations)) == (1, 1)


def test_fitting_is_sealed_after_measuring_and_once(bench_of):
    bench = bench_of()
    bench.fill(lambda point: "99.99")
    with pytest.raises(CommandRefusedError, match="fitting is sealed before the measuring"):
        bench.inspection.seal({}, "s", part="fitting")
    measuring = bench.inspection.seal({"a": 1}, "s")
    bench.inspection.seal({"b": 2}, "s", part="fitting")
    assert bench.state.sealed_by == measuring
    assert [entry.payload.part for entry in bench.state.seals] == ["measuring", "fitting"]
    with pytest.raises(CommandRefusedError, match="sealed already"):
        bench.inspection.seal({}, "s", part="fitting")


# --- revision and re-inspection -------------------------------------------------------------------


def test_revision_carries_over_what_was_measured_and_both_name_each_other(sealed, at):
    bench = sealed()
    old = bench.state
    bench._now += timedelta(days=3)
    revised = bench.inspection.revise("wrong work order")
    new, after = revised.state, bench.state
    assert new.created.revision == 2
    assert new.created.supersedes.inspection == old.inspection
    assert new.created.supersedes.head_hash == old.last.hash
    assert new.identification.sheet_number == "T-1-R2"
    assert new.sealed is None
    assert new.readings == old.readings  # the same values, times, people, numbers
    assert new.gauges == old.gauges
    assert new.cautions == old.cautions
    assert after.superseded.payload.by.inspection == new.inspection
    assert after.superseded.payload.by.head_hash == new.last.hash
    # One point is measured again; the rest need not be.
    revised.aim(at(1, 1), "was held askew")
    bench.inspection = revised
    bench.press("99.991")
    revised.seal({}, "s")
    assert fold(bench.store.events(new.inspection)) == revised.state
    for inspection in (old.inspection, new.inspection):
        check_chain(bench.store.events(inspection))


def test_revision_keeps_its_own_words_on_what_it_is_about(bench_of):
    """A correction carried over once took the revision's own sheet number away."""
    bench = bench_of(WholeStore())
    said = bench.state.identification.model_copy(update={"asset": "Fan 3"})
    bench.inspection.correct_identification(said, "was left empty")
    bench.fill(lambda point: "99.99")
    bench.inspection.seal({}, "s")
    right = said.model_copy(update={"asset": "Fan 4", "sheet_number": "T-9"})
    assert bench.inspection.revise("wrong fan", identification=right).state.identification == right


def test_revision_of_a_revision_keeps_everything(sealed):
    bench = sealed()
    first = bench.state
    second = bench.inspection.revise("once")
    bench.inspection = second
    second.add_note("between")
    second.seal({}, "s")
    third = second.revise("twice")
    assert third.state.created.revision == 3
    assert third.state.identification.sheet_number == "T-1-R3"
    assert third.state.readings == first.readings
    assert [entry.payload.text for entry in third.state.notes] == ["between"]
    assert fold(third.state.events) == third.state


def test_superseded_inspection_is_not_carried_on(sealed):
    bench = sealed()
    bench.inspection.revise("wrong work order")
    count = len(bench.store.kept)
    for command in (
        lambda: bench.inspection.revise("again"),
        lambda: as_other(bench).review("accepted"),
        lambda: bench.inspection.add_note("late"),
    ):
        with pytest.raises(CommandRefusedError, match=r"sheet T-1-R2"):
            command()
    assert len(bench.store.kept) == count


def test_revision_is_stored_whole_or_not_at_all(sealed):
    bench = sealed()
    before, count = bench.state, len(bench.store.kept)

    def full(events):
        raise OSError("disk full")

    bench.store.append_all = full
    with pytest.raises(OSError, match="disk full"):
        bench.inspection.revise("wrong work order")
    assert bench.state is before
    assert len(bench.store.kept) == count


def test_carried_event_that_does_not_follow_is_refused(sealed):
    bench = sealed()
    revised = bench.inspection.revise("wrong work order")
    events = list(revised.state.events)
    payload = {**events[3].payload, "previous": "0" * 64}
    events[3] = replace(events[3], payload=payload)
    with pytest.raises(ChainBrokenError, match="does not follow on what was carried over"):
        fold(events)


def test_reinspection_after_rework_names_the_first(sealed, plan_of):
    bench = sealed()
    first = bench.inspection.reference()
    again = Inspection.create(
        bench.store,
        plan_toml=plan_of(),
        identification=bench.state.identification.model_copy(update={"sheet_number": "T-2"}),
        actor="Åsa Test",
        clock=bench.clock,
        reinspection_of=first,
        reason="ground and sprayed",
    )
    assert again.state.created.reinspection_of == first
    assert again.state.created.revision == 1
    assert again.state.readings == {}
    with pytest.raises(CommandRefusedError, match="Give a reason"):
        Inspection.create(
            bench.store,
            plan_toml=plan_of(),
            identification=bench.state.identification,
            actor="x",
            clock=bench.clock,
            reinspection_of=first,
        )


def test_decision_is_signed_by_a_quality_lead(sealed):
    bench = sealed()
    lead = signer("Quirin Lead", ("quality lead",), "c" * 32)
    event = as_other(bench).dispose("accept", "within limits")
    bench.inspection.sign(signed(bench, lead, event, DECIDED))
    assert bench.state.signatures[-1].payload.meaning == "disposition decided by"
