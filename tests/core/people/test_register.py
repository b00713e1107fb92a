"""The register of people: who may do what, and that nobody else can write in it."""

import json
from dataclasses import replace
from datetime import timedelta, timezone

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

from seatproof.core.people.errors import (
    PassphraseTooSoonError,
    PassphraseWrongError,
    PersonRefusedError,
)
from seatproof.core.people.person import add_up
from seatproof.core.record.errors import ChainBrokenError, EventUnknownError
from seatproof.core.record.events import GENESIS, next_event
from seatproof.core.record.signing import ACCEPTED, MEASURED, signature_holds

WORDS = "kiln brick clay"
OTHER = "other words here"


def sign(signer, clock, meaning=MEASURED):
    return signer.sign(inspection="i", of_seq=3, of_hash="0" * 64, meaning=meaning, moment=clock())


# --- keeping --------------------------------------------------------------------------------------


def test_register_begins_with_an_administrator(office):
    assert office.ada.roles == ("administrator", "quality lead")
    assert office.admin.name == "Ada Admin"
    with pytest.raises(PersonRefusedError, match="has its administrators already"):
        office.register.begin("Eve", WORDS)


def test_people_are_there_after_a_restart(office):
    bo = office.add("Bo Bench", "inspector")
    again = office.open()
    assert again.people == office.register.people
    assert again.named(" bo bench ") == bo
    assert [person.name for person in again.active()] == ["Ada Admin", "Bo Bench"]


def test_only_administrators_keep_the_register(office):
    bo = office.add("Bo Bench")
    signer = office.register.unlock(bo.id, WORDS)
    count = len(office.store.kept)
    for command in (
        lambda: office.register.add(signer, "Eve", ("inspector",), WORDS),
        lambda: office.register.retire(signer, office.ada.id, "r"),
        lambda: office.register.replace_key(signer, bo.id, WORDS, "r"),
        lambda: office.register.change(signer, bo.id, "r", name="Bo", roles=("administrator",)),
    ):
        with pytest.raises(PersonRefusedError, match="Bo Bench is no administrator"):
            command()
    assert len(office.store.kept) == count


def test_person_is_retired_never_removed(office):
    bo = office.add("Bo Bench")
    signer = office.register.unlock(bo.id, WORDS)
    said = sign(signer, office.clock)
    office.register.retire(office.admin, bo.id, "left the works")
    assert office.register.people[bo.id].is_retired
    assert signature_holds("i", said)  # what was signed stays valid
    for command in (
        lambda: office.register.unlock(bo.id, WORDS),
        lambda: office.register.replace_key(office.admin, bo.id, WORDS, "r"),
        lambda: office.register.change(office.admin, bo.id, "r", name="Bo", roles=("inspector",)),
    ):
        with pytest.raises(PersonRefusedError, match=r"is retired \(left the works\)"):
            command()
    office.add("Bo Bench")  # the name is free again, for another person


def test_one_administrator_always_remains(office):
    for command in (
        lambda: office.register.retire(office.admin, office.ada.id, "r"),
        lambda: office.register.change(
            office.admin, office.ada.id, "r", name="Ada Admin", roles=("inspector",)
        ),
    ):
        with pytest.raises(PersonRefusedError, match="is the only administrator"):
            command()
    office.add("Cleo", "administrator")
    office.register.retire(office.admin, office.ada.id, "retired")


@pytest.mark.parametrize(
    ("name", "roles", "said"),
    [
        (" ", ("inspector",), "Give the person's name"),
        ("ada admin", ("inspector",), "is in the register already"),
        ("Bo", (), "cannot go into the register: roles"),
        ("Bo", ("king",), "cannot go into the register: roles"),
        ("x" * 201, ("inspector",), "cannot go into the register: name"),
    ],
)
def test_person_that_cannot_be_is_refused(office, name, roles, said):
    count = len(office.store.kept)
    with pytest.raises(PersonRefusedError, match=said):
        office.register.add(office.admin, name, roles, WORDS)
    assert len(office.store.kept) == count


def test_changed_name_keeps_the_old_one(office):
    bo = office.add("Bo Bench")
    now = office.register.change(
        office.admin, bo.id, "married", name="Bo Walk", roles=("inspector", "auditor")
    )
    assert (now.name, now.names) == ("Bo Walk", ("Bo Bench", "Bo Walk"))
    assert now.keys == bo.keys


# --- signing --------------------------------------------------------------------------------------


def test_role_decides_what_may_be_signed(office):
    bo = office.register.unlock(office.add("Bo Bench").id, WORDS)
    assert sign(bo, office.clock).role == "inspector"
    assert sign(office.admin, office.clock, ACCEPTED).role == "quality lead"
    with pytest.raises(PersonRefusedError, match="Bo Bench is not entered as quality lead"):
        sign(bo, office.clock, ACCEPTED)
    with pytest.raises(PersonRefusedError, match="Ada Admin is not entered as inspector"):
        sign(office.admin, office.clock)
    with pytest.raises(PersonRefusedError, match="cannot mean “blessed by”"):
        sign(bo, office.clock, "blessed by")


# --- passphrases ----------------------------------------------------------------------------------


def test_three_wrong_passphrases_slow_the_next_try_down(office):
    bo = office.add("Bo Bench")
    for wait_s in (0.0, 0.0, 30.0):
        with pytest.raises(PassphraseWrongError) as caught:
            office.register.unlock(bo.id, OTHER)
        assert caught.value.wait_s == wait_s
    assert str(caught.value) == (
        "That is not the passphrase of Bo Bench. The next try is possible in 30 s."
    )
    count = len(office.store.kept)
    office.clock.go(29.5)
    with pytest.raises(PassphraseTooSoonError, match="3 passphrases for Bo Bench were wrong"):
        office.register.unlock(bo.id, WORDS)  # even the right one
    assert len(office.store.kept) == count
    # A restart forgets nothing.
    office.register = office.open()
    assert office.register.wait_s(bo.id) == 0.5
    office.clock.go(0.5)
    assert office.register.unlock(bo.id, WORDS).name == "Bo Bench"
    assert office.register.people[bo.id].wrong == 0
    with pytest.raises(PassphraseWrongError):
        office.register.unlock(bo.id, OTHER)
    assert office.register.wait_s(bo.id) == 0.0


def test_wait_doubles_up_to_an_hour(office):
    bo = office.add("Bo Bench")
    waits = []
    for _ in range(12):
        with pytest.raises(PassphraseWrongError):
            office.register.unlock(bo.id, OTHER)
        waits.append(office.register.wait_s(bo.id))
        office.clock.go(waits[-1])
    assert waits == [0, 0, 30, 60, 120, 240, 480, 960, 1920, 3600, 3600, 3600]


def test_wrong_passphrases_of_one_do_not_stop_another(office):
    bo, cleo = office.add("Bo"), office.add("Cleo")
    for _ in range(3):
        with pytest.raises(PassphraseWrongError):
            office.register.unlock(bo.id, OTHER)
    assert office.register.unlock(cleo.id, WORDS)


def test_clock_that_was_set_back_locks_nobody_out_for_longer(office):
    bo = office.add("Bo")
    for _ in range(3):
        with pytest.raises(PassphraseWrongError):
            office.register.unlock(bo.id, OTHER)
    office.clock.go(-100_000)
    assert office.register.wait_s(bo.id) == 30.0


def test_passphrase_is_changed_by_who_knows_it(office):
    bo = office.add("Bo")
    with pytest.raises(PassphraseWrongError):
        office.register.change_passphrase(bo.id, OTHER, "third set of words")
    office.register.change_passphrase(bo.id, WORDS, OTHER)
    assert office.register.people[bo.id].keys == bo.keys  # the same key
    with pytest.raises(PassphraseWrongError):
        office.register.unlock(bo.id, WORDS)
    office.register.unlock(bo.id, OTHER)


def test_lost_passphrase_means_a_new_key_and_old_signatures_hold(office):
    bo = office.add("Bo")
    said = sign(office.register.unlock(bo.id, WORDS), office.clock)
    office.clock.go(100)
    now = office.register.replace_key(office.admin, bo.id, OTHER, "passphrase lost")
    assert [key.public_key for key in now.keys] == [said.public_key, now.locked.public_key]
    assert now.keys[0].why_ended == "passphrase lost"
    assert now.keys[0].until_utc == now.keys[1].since_utc
    assert signature_holds("i", said)
    office.register.unlock(bo.id, OTHER)


def test_only_administrator_recovers_and_it_shows(office):
    bo = office.add("Bo")
    with pytest.raises(PersonRefusedError, match="Bo is no administrator"):
        office.register.recover(bo.id, OTHER, "lost")
    now = office.register.recover(office.ada.id, OTHER, "passphrase lost")
    assert [key.vouched for key in now.keys] == [True, False]
    assert office.open().people == office.register.people
    with pytest.raises(PersonRefusedError, match="has another key by now"):
        office.add("Cleo")  # the administrator's open key is the old one
    office.admin = office.register.unlock(office.ada.id, OTHER)
    office.add("Cleo", "administrator")
    with pytest.raises(PersonRefusedError, match="not the only administrator"):
        office.register.recover(office.ada.id, WORDS, "lost again")


# --- nobody else writes in it ---------------------------------------------------------------------


def rechained(events):
    """Return events whose hashes were all made anew, as somebody with the file could do."""
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


def test_rechained_register_with_other_content_does_not_hold(office):
    bo = office.add("Bo Bench")
    office.register.retire(office.admin, bo.id, "left")
    events = office.store.kept
    assert rechained(events) == events
    for index, change in (
        (1, {"name": "Eve"}),
        (1, {"roles": ["administrator"]}),
        (2, {"reason": "other"}),
        (2, {"person": office.ada.id}),
        (1, {"vouched": None}),
    ):
        altered = list(events)
        altered[index] = replace(events[index], payload={**events[index].payload, **change})
        with pytest.raises(ChainBrokenError, match=r"vouche|signature"):
            add_up(rechained(altered))
    with pytest.raises(ChainBrokenError, match="vouches for it"):
        add_up(rechained([events[0], events[2]]))  # the entry of Bo is gone
    vouched = {**events[1].payload["vouched"], "previous": GENESIS}
    first = replace(events[1], payload={**events[1].payload, "vouched": vouched})
    with pytest.raises(ChainBrokenError, match="begins with an administrator"):
        add_up(rechained([first]))


def test_altered_register_is_not_opened(office):
    office.add("Bo Bench")
    kept = office.store.kept
    kept[1] = replace(kept[1], actor="Eve")
    with pytest.raises(ChainBrokenError, match="its content was altered"):
        office.open()


def test_entry_of_a_newer_program_is_refused(office):
    last = office.store.kept[-1]
    office.store.kept.append(
        next_event(
            inspection="people",
            last=last,
            moment=last.moment,
            actor="x",
            kind="person cloned",
            payload={},
        )
    )
    with pytest.raises(EventUnknownError, match="does not know that kind"):
        office.open()


def test_entry_is_vouched_for_in_bytes_anybody_can_write_down(office):
    bo = office.add("Bo Bench")
    event = office.store.kept[-1]
    payload = dict(event.payload)
    vouched = payload.pop("vouched")
    assert vouched["person"] == office.ada.id
    content = {
        "entry": payload,
        "format": "seatproof register entry 1",
        "kind": "person added",
        "previous": event.previous,
        "register": "people",
    }
    message = json.dumps(content, sort_keys=True, separators=(",", ":")).encode()
    Ed25519PublicKey.from_public_bytes(bytes.fromhex(office.ada.locked.public_key)).verify(
        bytes.fromhex(vouched["signature"]), message
    )
    assert payload["person"] == bo.id


def test_failed_store_changes_nothing(office):
    people = office.register.people

    def full(event):
        raise OSError("disk full")

    office.store.append_register = full
    with pytest.raises(OSError, match="disk full"):
        office.add("Bo Bench")
    assert office.register.people is people


def test_no_private_key_is_shown(office):
    assert "private" not in repr(office.admin)
    assert WORDS not in str([event.payload for event in office.store.kept])
