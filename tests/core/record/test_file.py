"""Records as files: what was written is read, and every damage is found and said."""

import errno
import json
import os
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from seatproof.core.record.errors import ChainBrokenError, RecordError, RecordFileError
from seatproof.core.record.file import read_record, record_bytes, write_record
from seatproof.core.record.state import fold


@pytest.fixture(scope="module")
def events(bench_of):
    bench = bench_of(stations=2)
    for value in ("99.990", "99.991", "120", "99.992"):
        bench.press(value)
    bench.inspection.take_back("burr – “filed” off\tand\u001f so on")
    return tuple(bench.store.kept)


@pytest.fixture(scope="module")
def content(events):
    return record_bytes(events)


@pytest.fixture(scope="module")
def damaged(tmp_path_factory):
    """Return what writes bytes to a file and reads them as a record."""
    path = tmp_path_factory.mktemp("record") / "record.json"

    def read(data):
        path.write_bytes(data)
        return read_record(path)

    return read


def test_record_is_read_as_it_was_written(events, tmp_path):
    path = tmp_path / "record.json"
    write_record(events, path)
    assert read_record(path) == events
    assert fold(read_record(path)) == fold(events)
    assert list(tmp_path.iterdir()) == [path]


def test_same_events_give_the_same_bytes(events, content):
    assert record_bytes(list(events)) == content
    assert content.startswith(b'{"events":[{"actor":"')


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "it is not JSON; name a record file"),
        (b"\xff\xfe\x00", "it is not JSON; name a record file"),
        (b"PK\x03\x04", "it is not JSON; name a record file"),
        (b"[" * 100_000, "it is not JSON; name a record file"),
        (b"9" * 5000, "it is not JSON; name a record file"),
        (b"[]", "it is not a Seatproof record; name a record file"),
        (b"null", "it is not a Seatproof record; name a record file"),
        (b'{"format":"other"}', "it is not a Seatproof record; name a record file"),
        (
            b'{"format":"seatproof record","version":2,"events":[]}',
            "it has version 2; open it with a newer Seatproof",
        ),
        (b'{"format":"seatproof record","version":1}', "it holds no events"),
        (b'{"format":"seatproof record","version":1,"events":[]}', "it holds no events"),
        (
            b'{"format":"seatproof record","version":1,"events":[3]}',
            "one of its events lacks a field or has one too many",
        ),
    ],
)
def test_what_is_no_record_is_refused(damaged, data, said):
    with pytest.raises(RecordFileError) as caught:
        damaged(data)
    assert caught.value.finding == said
    assert re.fullmatch(r"The record \S+record\.json cannot be used: .+\.", str(caught.value))


@pytest.mark.parametrize(
    ("field", "value", "said"),
    [
        ("seq", "1", "seq of one of its events is of the wrong kind"),
        ("seq", True, "seq of one of its events is of the wrong kind"),
        ("payload", [], "payload of one of its events is of the wrong kind"),
        ("hash", None, "hash of one of its events is of the wrong kind"),
        ("seq", 2**70, "it is not as Seatproof wrote it; use a copy of the original"),
        ("payload", {"a": float("nan")}, "it is not as Seatproof wrote it; use a copy of the"),
        ("actor", "\ud800", "it is not as Seatproof wrote it; use a copy of the original"),
    ],
)
def test_field_of_another_kind_is_refused(damaged, content, field, value, said):
    document = json.loads(content)
    document["events"][1][field] = value
    with pytest.raises(RecordFileError, match=said):
        damaged(json.dumps(document).encode())


def test_other_spelling_of_the_same_values_is_refused(damaged, content):
    document = json.loads(content)
    for data in (
        json.dumps(document).encode(),
        content + b"\n",
        b"\xef\xbb\xbf" + content,
        content.decode().encode("utf-16"),
        content.replace(b"\\u001f", b"\\u001F"),
        content.replace(b'{"events"', b'{"version":1,"events"', 1),
    ):
        assert data != content
        with pytest.raises(RecordFileError):
            damaged(data)


def test_altered_value_is_found(damaged, content):
    with pytest.raises(ChainBrokenError, match=r"Event 4 .* its content was altered"):
        damaged(content.replace(b'"99.990"', b'"99.995"', 1))


@settings(max_examples=400, deadline=None)
@given(data=st.data())
def test_every_changed_byte_is_found(damaged, content, data):
    position = data.draw(st.integers(0, len(content) - 1))
    flipped = bytearray(content)
    flipped[position] ^= data.draw(st.integers(1, 255))
    with pytest.raises(RecordError):
        damaged(bytes(flipped))


@settings(max_examples=150, deadline=None)
@given(data=st.data())
def test_every_missing_or_doubled_stretch_is_found(damaged, content, data):
    start = data.draw(st.integers(0, len(content) - 1))
    end = data.draw(st.integers(start + 1, len(content)))
    for changed in (
        content[:start] + content[end:],
        content[:end] + content[start:end] + content[end:],
        content[:start],
    ):
        with pytest.raises(RecordError):
            damaged(changed)


def test_missing_file_and_folder_are_refused(tmp_path):
    for path in (tmp_path / "missing.json", tmp_path):
        with pytest.raises(RecordFileError, match="it cannot be read"):
            read_record(path)


@pytest.mark.parametrize("step", ["fsync", "replace"])
def test_failed_writing_leaves_the_old_file_and_nothing_else(events, tmp_path, monkeypatch, step):
    path = tmp_path / "record.json"
    path.write_bytes(b"mine")

    def full(*args):
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(*((os, "fsync") if step == "fsync" else (type(path), "replace")), full)
    with pytest.raises(RecordFileError, match="it cannot be written"):
        write_record(events, path)
    monkeypatch.undo()
    assert list(tmp_path.iterdir()) == [path]
    assert path.read_bytes() == b"mine"


def test_writing_where_there_is_no_folder_is_refused(events, tmp_path):
    (tmp_path / "file").touch()
    for place in ("missing/record.json", "file/record.json"):
        with pytest.raises(RecordFileError, match="it cannot be written"):
            write_record(events, tmp_path / place)
