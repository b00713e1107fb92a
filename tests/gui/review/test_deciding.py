"""Decisions: signed, whole or not at all, and refused where they are not open."""

from datetime import timedelta

import pytest

from seatproof.core.archive.errors import ArchiveFullError
from seatproof.core.archive.query import Query
from seatproof.core.people.errors import PersonRefusedError
from seatproof.core.record.errors import CommandRefusedError
from seatproof.core.record.events import check_chain
from seatproof.core.record.signing import signature_holds
from seatproof.core.record.state import fold
from seatproof.gui.review.deciding import Choice, Draft, ask_inspector, decide, obstacle
from tests.gui.review.conftest import START, seal_one, ticking

LATER = START + timedelta(days=1)


def after(archive, inspection):
    events = archive.events(inspection)
    check_chain(events)
    return fold(events)


@pytest.mark.parametrize(
    ("choice", "state_word"),
    [
        (Choice.ACCEPT, "accepted"),
        (Choice.REWORK, "to be reworked"),
        (Choice.REJECT, "rejected"),
        (Choice.CONCESSION, "accepted by concession"),
        (Choice.MEASURE_AGAIN, "sent back"),
    ],
)
def test_a_decision_is_recorded_with_valid_signatures(archive, signer, choice, state_word):
    inspection = seal_one(archive)
    draft = Draft(choice, "as discussed", "Chief engineer", "C-9", "300 rpm at most")
    decide(archive, inspection, draft, signer("Bo"), ticking(LATER))
    state = after(archive, inspection)
    assert archive.find(Query()).entries[0].state == state_word
    decided = [state.review, *([] if choice is Choice.MEASURE_AGAIN else [state.disposition])]
    for entry in decided:
        (signature,) = state.signatures_of(entry.seq)
        assert signature_holds(inspection, signature.payload)
        assert signature.payload.of_hash == entry.event.hash
        assert signature.payload.name == "Bo"
    if choice is Choice.MEASURE_AGAIN:
        assert state.disposition is None
        assert state.review.payload.finding == "not accepted"
    if choice is Choice.CONCESSION:
        said = state.disposition.payload
        assert (said.authority, said.number) == ("Chief engineer", "C-9")
        assert said.reason == "as discussed Limits: 300 rpm at most"


@pytest.mark.parametrize(
    "draft",
    [
        Draft(Choice.REJECT, "  "),
        Draft(Choice.CONCESSION, "why not", limits="slow"),
        Draft(Choice.CONCESSION, "why not", authority="Chief engineer"),
    ],
)
def test_what_is_not_written_out_is_not_recorded(archive, signer, draft):
    inspection = seal_one(archive)
    before = archive.events(inspection)
    with pytest.raises(CommandRefusedError, match=r"\.$"):
        decide(archive, inspection, draft, signer("Bo"), ticking(LATER))
    assert archive.events(inspection) == before


def test_what_does_not_conform_is_not_accepted_but_conceded(archive, signer):
    inspection = seal_one(archive, spoilt=True)
    state = after(archive, inspection)
    assert "concession" in obstacle(state, Choice.ACCEPT)
    assert not obstacle(state, Choice.REWORK)
    before = archive.events(inspection)
    with pytest.raises(CommandRefusedError, match="does not conform"):
        decide(
            archive, inspection, Draft(Choice.ACCEPT, "looks fine"), signer("Bo"), ticking(LATER)
        )
    # The review that would have come first is not stored either.
    assert archive.events(inspection) == before


def test_who_measured_does_not_review(archive, signer):
    inspection = seal_one(archive, inspector="Ann Miller")
    before = archive.events(inspection)
    with pytest.raises(CommandRefusedError, match="Ann Miller measured"):
        decide(
            archive, inspection, Draft(Choice.ACCEPT, "mine"), signer("Ann Miller"), ticking(LATER)
        )
    assert archive.events(inspection) == before


def test_an_auditor_cannot_decide(archive, signer):
    inspection = seal_one(archive)
    before = archive.events(inspection)
    with pytest.raises(PersonRefusedError, match="quality lead"):
        decide(archive, inspection, Draft(Choice.ACCEPT, "fine"), signer("Cy"), ticking(LATER))
    assert archive.events(inspection) == before


def test_a_disk_that_is_full_leaves_nothing_half_decided(archive, signer):
    inspection = seal_one(archive)
    before = archive.events(inspection)

    class Full:
        def events(self, which):
            return archive.events(which)

        def append_all(self, events):
            assert len(events) == 4
            raise ArchiveFullError(archive.path, "full")

    with pytest.raises(ArchiveFullError):
        decide(Full(), inspection, Draft(Choice.ACCEPT, "fine"), signer("Bo"), ticking(LATER))
    assert archive.events(inspection) == before


def test_an_unsigned_seal_is_an_obstacle_where_the_plan_wants_signatures(archive):
    def signed(text):
        return f"{text}\n[signing]\nsignatures = true\n"

    inspection = seal_one(archive, plan=signed)
    assert "not signed" in obstacle(after(archive, inspection), Choice.REWORK)


def test_a_question_waits_for_its_answer(archive):
    inspection = seal_one(archive)
    ask_inspector(archive, inspection, "Was it cold?", "Bo", ticking(LATER))
    (question,) = after(archive, inspection).open_questions()
    assert (question.payload.text, question.actor) == ("Was it cold?", "Bo")
    for text, actor in (("", "Bo"), ("Why?", " ")):
        with pytest.raises(CommandRefusedError):
            ask_inspector(archive, inspection, text, actor, ticking(LATER))
