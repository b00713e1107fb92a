"""An archive: every chain, every photo, every register, and what a list of heads shows."""

import contextlib
import hashlib
from dataclasses import replace

import pytest

from seatproof.core.verification.archive import verify_archive
from seatproof.core.verification.findings import Outcome, Weight
from seatproof.core.verification.heads import (
    HeadList,
    HeadListError,
    read_head_list,
    write_head_list,
)
from tests.core.verification.conftest import PHOTO


class PhotoDamagedError(Exception):
    """Bytes that are not those of their name."""


class Kept:
    """An archive in memory, with everything that can be taken out of it or changed."""

    path = "kept.seatproof"

    def __init__(self, case):
        self.chains = {}
        for event in case.bench.store.kept:
            self.chains.setdefault(event.inspection, []).append(event)
        self.registers = {"people": list(case.people.kept)}
        self.told = {}
        self.photos = {hashlib.sha256(PHOTO).hexdigest(): PHOTO}

    def inspections(self):
        return tuple(self.chains)

    def events(self, inspection):
        return tuple(self.chains.get(inspection, ()))

    def register_events(self, register):
        return tuple(self.registers.get(register, ()))

    def has_attachment(self, sha256):
        return sha256 in self.photos

    def attachment(self, sha256):
        content = self.photos[sha256]
        if hashlib.sha256(content).hexdigest() != sha256:
            raise PhotoDamagedError("The photo is not the one it was.")
        return content

    def agreement(self):
        return contextlib.nullcontext(self)

    def of_the_whole(self):
        return ()

    def of(self, inspection):
        return self.told.get(inspection, ())

    def of_register(self, register):
        return ()

    def heads(self, moment):
        def of(chains):
            return [(name, len(events), events[-1].hash) for name, events in chains.items()]

        return HeadList.of(of(self.chains), of(self.registers), moment)


@pytest.fixture
def two(fresh):
    """Return an archive with an inspection and its revision, and a list of its heads."""
    fresh.bench.inspection.revise("wrong asset")
    kept = Kept(fresh)
    return kept, kept.heads(fresh.bench.clock()), fresh.keys


def verify(kept, heads=None, keys=None):
    return verify_archive(kept, keys, heads, figures=False, unreadable=(PhotoDamagedError, OSError))


def sentences(found):
    return [one.sentence for one in found.all_findings if one.weight is not Weight.NOTE]


def test_whole_archive_holds(two):
    kept, heads, keys = two
    done = []
    found = verify_archive(
        kept, keys, heads, progress=lambda number, total: done.append((number, total))
    )
    assert found.outcome is Outcome.HOLDS
    assert [record.sheet_number for record in found.records] == ["T-1", "T-1-R2"]
    assert done == [(0, 2), (1, 2), (2, 2)]


def test_inspection_that_was_removed_is_missed(two):
    kept, heads, _ = two
    _, second = kept.chains
    del kept.chains[second]
    # The list of heads shows it; without the list, only that another names it.
    assert sentences(verify(kept, heads)) == [
        f"Inspection {second} was removed: it had {heads.inspections[1].seq} events on "
        f"{heads.made_utc}."
    ]
    without = verify(kept)
    assert without.outcome is Outcome.HOLDS
    assert any("which is not in this archive" in one.sentence for one in without.all_findings)


def test_inspection_that_was_cut_short_is_found(two):
    kept, heads, _ = two
    first, _ = kept.chains
    length = len(kept.chains[first])
    kept.chains[first] = kept.chains[first][:-3]
    found = verify(kept, heads)
    assert any(
        f"was cut short: events {length - 2} to {length} are missing" in one
        for one in sentences(found)
    )
    assert found.outcome is Outcome.ALTERED


def test_inspection_that_went_on_since_the_list_still_holds(two, fresh):
    kept, _, _ = two
    early = HeadList.of(
        [(name, 3, events[2].hash) for name, events in kept.chains.items()],
        [],
        fresh.bench.clock(),
    )
    assert verify(kept, early).outcome is Outcome.HOLDS


def test_inspection_written_anew_is_found_by_the_list_and_by_what_names_it(two):
    kept, heads, _ = two
    first, _ = kept.chains
    anew = heads.model_copy(
        update={
            "inspections": tuple(
                head.model_copy(update={"hash": "0" * 64}) if head.id == first else head
                for head in heads.inspections
            )
        }
    )
    (sentence,) = sentences(verify(kept, anew))
    assert "was written anew: event" in sentence


def test_reference_to_what_is_not_there_any_longer_is_found(two):
    kept, _, _ = two
    first, second = kept.chains
    # Cut the first before the seal that the second names.
    kept.chains[first] = kept.chains[first][:4]
    assert any("by an event that it does not have" in one for one in sentences(verify(kept)))
    assert second in kept.chains


def test_photo_that_is_gone_or_another_is_found(two):
    kept, _, _ = two
    (digest,) = kept.photos
    kept.photos[digest] = b"another"
    assert any("not the one it was" in one for one in sentences(verify(kept)))
    kept.photos.clear()
    assert any("is not in the archive" in one for one in sentences(verify(kept)))


def test_altered_register_is_found(two):
    kept, heads, _ = two
    people = kept.registers["people"]
    people[1] = replace(people[1], actor="Eve")
    (sentence,) = sentences(verify(kept))
    assert sentence == "Event 2 of the register of people does not hold: its content was altered."
    kept.registers["people"] = people[:1]
    assert any("Register people was cut short" in one for one in sentences(verify(kept, heads)))


def test_chain_that_cannot_be_read_is_told_and_the_others_are_verified(two):
    kept, _, _ = two
    first, second = kept.chains

    def events(inspection):
        if inspection == first:
            raise OSError("the disk has a bad place there")
        return tuple(kept.chains[inspection])

    kept.events = events
    found = verify(kept)
    assert found.outcome is Outcome.UNREADABLE
    assert [record.inspection for record in found.records] == [second]


def test_list_of_heads_is_read_as_it_was_written(two, tmp_path):
    _, heads, _ = two
    path = write_head_list(heads, tmp_path / "heads.json")
    assert read_head_list(path) == heads


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "it is not JSON"),
        (b"{}", "it is not a list of heads"),
        (b'{"format":"seatproof heads","version":7}', "it has version 7"),
        (b'{"format":"seatproof heads","version":1}', "made_utc: Field required"),
    ],
)
def test_what_is_no_list_of_heads_is_refused(tmp_path, content, said):
    path = tmp_path / "heads.json"
    path.write_bytes(content)
    with pytest.raises(HeadListError, match=said):
        read_head_list(path)


def test_what_an_archive_tells_beside_its_events_counts(two):
    kept, heads, keys = two
    first, _ = kept.chains
    kept.told[first] = ("The index says otherwise.",)
    found = verify(kept, heads, keys)
    assert found.outcome is Outcome.ALTERED
    assert sentences(found) == ["The index says otherwise."]


def test_photo_that_was_carried_over_is_missed(two):
    kept, heads, keys = two
    _, second = kept.chains
    kept.photos.clear()
    missed = [
        one for one in verify(kept, heads, keys).findings if "The photo of event" in one.sentence
    ]
    assert {one.inspection for one in missed} == set(kept.chains)
    assert second in {one.inspection for one in missed}
