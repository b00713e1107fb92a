"""The list of public keys: exported, read back, and refused where it is none."""

import json

import pytest

from seatproof.core.people.errors import KeyListError
from seatproof.core.people.key_list import (
    KeyList,
    parse_key_list,
    read_key_list,
    write_key_list,
)

OTHER = "other words here"


@pytest.fixture
def keys(office):
    bo = office.add("Bo Bench")
    office.clock.go(60)
    office.register.replace_key(office.admin, bo.id, OTHER, "passphrase lost")
    office.register.change(office.admin, bo.id, "married", name="Bo Walk", roles=("quality lead",))
    return KeyList.of(office.register, office.clock())


def test_list_is_read_as_it_was_written(keys, tmp_path):
    path = write_key_list(keys, tmp_path / "keys.json")
    assert read_key_list(path) == keys
    document = json.loads(path.read_bytes())
    assert document["format"] == "seatproof public keys"
    assert document["version"] == 1
    (ada, bo) = document["people"]
    assert ada["names"] == ["Ada Admin"]
    assert bo["names"] == ["Bo Walk", "Bo Bench"]
    assert bo["roles"] == ["quality lead", "inspector"]
    assert [key["why_ended"] for key in bo["keys"]] == ["passphrase lost", ""]
    assert document["register"]["seq"] == 4


def test_list_holds_no_secret(keys, office):
    text = keys.as_bytes().decode()
    for person in office.register.people.values():
        assert person.locked.sealed not in text
        assert person.locked.salt not in text


def test_holder_is_found_by_any_key_ever_held(keys, office):
    for person in office.register.people.values():
        for key in person.keys:
            found, listed = keys.holder(key.public_key)
            assert (found.person, listed.public_key) == (person.id, key.public_key)
    assert keys.holder("0" * 64) is None


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "it is not JSON"),
        (b"[" * 100_000, "it is not JSON"),
        (b"[]", "it is not a list of public keys"),
        (b'{"format":"seatproof record"}', "it is not a list of public keys"),
        (b'{"format":"seatproof public keys","version":2}', "it has version 2"),
        (b'{"format":"seatproof public keys","version":1}', "made_utc: Field required"),
    ],
)
def test_what_is_no_list_is_refused(content, said):
    with pytest.raises(KeyListError, match=said):
        parse_key_list(content)


def test_list_that_cannot_be_read_or_written_is_told(keys, tmp_path):
    with pytest.raises(KeyListError, match="cannot be read"):
        read_key_list(tmp_path)
    with pytest.raises(KeyListError, match="cannot be written"):
        write_key_list(keys, tmp_path / "missing" / "keys.json")
