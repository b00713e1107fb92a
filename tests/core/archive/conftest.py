"""Chains of plain events, archives to put them in, and a user without the rights of root."""

import contextlib
import os
import shutil
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from seatproof.core.archive.file import Archive
from seatproof.core.record.events import Event, next_event

NOBODY = 65534
DATA = Path(__file__).parent / "data"


def event_after(
    last: Event | None, *, inspection: str = "i", payload: dict[str, Any] | None = None, **more: Any
) -> Event:
    given = {"moment": datetime(2024, 5, 17, tzinfo=UTC), "actor": "a", "kind": "k"} | more
    return next_event(
        inspection=inspection,
        last=last,
        payload={"ø": "1.50"} if payload is None else payload,
        **given,
    )


@pytest.fixture(scope="session")
def following() -> Callable[..., Event]:
    """Return what makes the event after another: `following(last, payload=…, kind=…)`."""
    return event_after


@pytest.fixture(scope="session")
def chain() -> Callable[..., list[Event]]:
    """Return what makes a chain of that many events: `chain(3, inspection="i")`."""

    def made(count: int, **options: Any) -> list[Event]:
        events: list[Event] = []
        for _ in range(count):
            events.append(event_after(events[-1] if events else None, **options))
        return events

    return made


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "archive.seatproof"


@pytest.fixture
def archive(path: Path) -> Iterator[Archive]:
    with Archive.open(path, busy_timeout_s=0.05) as archive:
        yield archive


@pytest.fixture
def first_version(path: Path) -> Path:
    """Return a file that the first version of the schema wrote, program and all."""
    shutil.copy(DATA / "first_version.seatproof", path)
    return path


@pytest.fixture
def stored(path: Path) -> Callable[..., list[Event]]:
    """Return what reads the events of an inspection from the file."""

    def read(of: Path = path, inspection: str = "i") -> list[Event]:
        with Archive.open(of, busy_timeout_s=0.05) as archive:
            assert not archive.read_only
            return list(archive.events(inspection))

    return read


@pytest.fixture
def pragma() -> Callable[[Archive, str], Any]:
    def value(archive: Archive, name: str) -> Any:
        return archive._db.execute(f"PRAGMA {name}").fetchone()[0]

    return value


@pytest.fixture
def ordinary_user() -> Callable[[], contextlib.AbstractContextManager[None]]:
    """Return what gives up the rights of root, which no file mode stops, during a block."""

    @contextlib.contextmanager
    def without_rights() -> Iterator[None]:
        if not hasattr(os, "setresuid"):
            pytest.skip("file modes do not stop anybody on this system")
        if os.getuid() != 0:
            yield
            return
        os.setresuid(NOBODY, NOBODY, 0)
        try:
            yield
        finally:
            os.setresuid(0, 0, 0)

    return without_rights
