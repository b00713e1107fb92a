"""Where a sheet is written, and what it never writes over."""

import os
from pathlib import Path

import pytest

from seatproof.core.placing import NotPlacedError, place
from seatproof.core.record.state import InspectionState
from seatproof.core.sheet.document import build_sheet, write_sheet


def test_sheet_is_written_under_its_name(tmp_path: Path, kiln_fan: InspectionState) -> None:
    path = tmp_path / "fan.pdf"
    assert write_sheet(kiln_fan, path) == path
    assert path.read_bytes() == build_sheet(kiln_fan)
    assert list(tmp_path.iterdir()) == [path]  # nothing unfinished is left


def test_same_sheet_is_not_written_twice(tmp_path: Path) -> None:
    assert place(b"one", tmp_path / "fan.pdf") == tmp_path / "fan.pdf"
    assert place(b"one", tmp_path / "fan.pdf") == tmp_path / "fan.pdf"
    assert len(list(tmp_path.iterdir())) == 1


def test_other_file_of_that_name_is_kept(tmp_path: Path) -> None:
    path = tmp_path / "fan.pdf"
    path.write_bytes(b"an older sheet")
    assert place(b"one", path) == tmp_path / "fan-2.pdf"
    assert place(b"two", path) == tmp_path / "fan-3.pdf"
    assert place(b"one", path) == tmp_path / "fan-2.pdf"
    assert path.read_bytes() == b"an older sheet"


def test_file_that_a_viewer_has_locked_is_left_alone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "fan.pdf"
    path.write_bytes(b"one")
    read = Path.read_bytes

    def locked(self: Path) -> bytes:
        if self == path:
            raise PermissionError(13, "The file is in use", str(self))
        return read(self)

    monkeypatch.setattr(Path, "read_bytes", locked)
    assert place(b"one", path) == tmp_path / "fan-2.pdf"


def test_new_name_that_is_opened_at_once_is_given_up(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "fan.pdf"
    replace = Path.replace

    def refused(self: Path, target: Path) -> Path:
        if target == path:
            raise PermissionError(13, "The file is in use", str(target))
        return replace(self, target)

    monkeypatch.setattr(Path, "replace", refused)
    assert place(b"one", path) == tmp_path / "fan-2.pdf"
    assert [file.name for file in tmp_path.iterdir()] == ["fan-2.pdf"]


def test_missing_folder_is_named(tmp_path: Path) -> None:
    path = tmp_path / "nowhere" / "fan.pdf"
    with pytest.raises(NotPlacedError, match="no such folder; make it") as caught:
        place(b"one", path)
    assert caught.value.path == path


def test_folder_that_is_read_only_is_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refused(*_: object) -> None:  # an administrator, as tests may run, may write anywhere
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", refused)
    with pytest.raises(NotPlacedError, match="nothing can be written in that folder"):
        place(b"one", tmp_path / "fan.pdf")


def test_full_disk_is_named_and_leaves_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(descriptor: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(NotPlacedError, match="No space left on device; make room"):
        place(b"one", tmp_path / "fan.pdf")
    assert list(tmp_path.iterdir()) == []
