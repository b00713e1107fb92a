"""What was changed in an event that does not hold: found by putting likely originals back.

The hash of an event tells that it was altered and not what. But whoever alters one place leaves the
rest, and the rest tells what the place may have held: numbers that belong together, other events,
or one character put for another. Each such original is tried against the hash that the event
carries; the one that fits is what was there.
"""

import hashlib
import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from decimal import Decimal, InvalidOperation
from typing import Any, Final

from seatproof.core.record.events import Event, canonical
from seatproof.core.units import Unit, to_mm

_MOST_WRITTEN: Final = 1_000_000  # bytes of JSON to write for trials: about half a second
_MOST_HASHED: Final = 100_000_000  # bytes to hash for trials of one character: about as long
_CHARACTERS: Final = b"0123456789.-abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ "

_Path = tuple[str | int, ...]


@dataclass(frozen=True, slots=True)
class Change:
    """What of an event was changed: the place in it, what stands there, and what stood there."""

    where: str
    now: str
    was: str

    @property
    def clause(self) -> str:
        """Say it in a few words."""
        return f"{self.where} was {self.was!r} and is now {self.now!r}"


def what_changed(events: Sequence[Event], index: int) -> Change | None:
    """Return what was changed in the event at an index, or None where that cannot be found out."""
    event = events[index]
    now = _content(event)
    try:
        written = canonical(now)
    except ValueError:  # a value that canonical JSON does not have
        return None
    own = hashlib.sha256(written).hexdigest()
    if own == event.hash:
        return None  # it is as it was, only not where it was
    following = events[index + 1] if index + 1 < len(events) else None
    if following is not None and following.previous == own:
        return Change("the event's hash", event.hash, own)
    was = _original(events, index, len(written)) or _one_character_other(written, event.hash)
    return None if was is None else _difference(now, was)


def _content(event: Event) -> dict[str, Any]:
    content = asdict(event)
    del content["hash"]
    return content


def _original(events: Sequence[Event], index: int, size: int) -> dict[str, Any] | None:
    """Return the first of the likely originals whose hash is the one that the event carries."""
    left = _MOST_WRITTEN
    for candidate in _candidates(events, index):
        left -= size
        if left < 0:
            return None
        content = _content(candidate)
        try:
            digest = hashlib.sha256(canonical(content)).hexdigest()
        except ValueError:
            continue
        if digest == events[index].hash:
            return content
    return None


def _one_character_other(written: bytes, digest: str) -> dict[str, Any] | None:
    """Try every character of the canonical form as another one."""
    left = _MOST_HASHED
    before = hashlib.sha256()
    for at, character in enumerate(written):
        after = written[at + 1 :]
        for other in _CHARACTERS:
            if other == character:
                continue
            trial = before.copy()
            trial.update(bytes((other,)) + after)
            if trial.hexdigest() == digest:
                content: dict[str, Any] = json.loads(written[:at] + bytes((other,)) + after)
                return content
            left -= len(after) + 1
        if left < 0:
            return None
        before.update(bytes((character,)))
    return None


def _difference(now: Any, was: Any) -> Change:
    """Return the first place that differs; that a value and its length differ is one change."""
    is_now, before = dict(_leaves(now)), dict(_leaves(was))
    places = [path for path in before if is_now.get(path) != before[path]]
    places = places or [path for path in is_now if path not in before]
    value = ("payload", "received", "value")
    path = value if value in places else places[0]
    name = ".".join(str(part) for part in path).removeprefix("payload.")
    where = "the value" if path == value else name
    return Change(where, str(is_now.get(path, "")), str(before.get(path, "")))


def _candidates(events: Sequence[Event], index: int) -> Iterator[Event]:
    event = events[index]
    yield from _from_its_place(events, index)
    yield from _from_what_belongs_together(event)
    for name in ("actor", "kind", "offset_min"):
        for was in dict.fromkeys(getattr(other, name) for other in events):
            yield replace(event, **{name: was})
    yield from _from_other_events(events, event)


def _from_its_place(events: Sequence[Event], index: int) -> Iterator[Event]:
    """Try what the neighbours say of number, inspection and the hash before."""
    event = events[index]
    yield replace(event, seq=index + 1)
    for inspection in dict.fromkeys(other.inspection for other in events):
        yield replace(event, inspection=inspection)
    for other in events[max(0, index - 2) : index]:
        yield replace(event, previous=other.hash)


def _from_what_belongs_together(event: Event) -> Iterator[Event]:
    """Try the value that the text or the length in millimetres of the same reading gives."""
    received = event.payload.get("received")
    if not isinstance(received, Mapping):
        return
    for was in dict.fromkeys(_values_in(received)):
        try:
            length_mm = str(to_mm(Decimal(was), Unit(str(received.get("unit")))))
        except (InvalidOperation, ValueError):
            continue
        both = {"value": was, "value_mm": length_mm}
        for change in (both, both | {"text": was}, {"value_mm": length_mm}):
            yield _with(event, ("received",), {**received, **change})


def _values_in(received: Mapping[str, Any]) -> Iterator[str]:
    """Return the numbers that the value, the text and the bytes of a press hold."""
    for name in ("value", "value_mm", "text"):
        text = received.get(name)
        if isinstance(text, str):
            yield text.strip()
    raw = received.get("raw_hex")
    if isinstance(raw, str):
        try:
            yield bytes.fromhex(raw).decode("ascii", "ignore").strip()
        except ValueError:
            return


def _from_other_events(events: Sequence[Event], event: Event) -> Iterator[Event]:
    """Try, place by place, what other events of the same kind hold there."""
    known: dict[_Path, dict[str, Any]] = {}
    for other in events:
        if other.kind == event.kind and other is not event:
            for path, value in _leaves(other.payload):
                known.setdefault(path, {}).setdefault(repr(value), value)
    for path, value in _leaves(event.payload):
        for was in known.get(path, {}).values():
            if repr(was) != repr(value):
                yield _with(event, path, was)


def _leaves(value: Any, path: _Path = ()) -> Iterator[tuple[_Path, Any]]:
    if isinstance(value, Mapping):
        for name, item in value.items():
            yield from _leaves(item, (*path, name))
    elif isinstance(value, list | tuple):
        for number, item in enumerate(value):
            yield from _leaves(item, (*path, number))
    else:
        yield path, value


def _with(event: Event, path: _Path, value: Any) -> Event:
    return replace(event, payload=_put(event.payload, path, value))


def _put(inside: Any, path: _Path, value: Any) -> Any:
    if not path:
        return value
    name, *rest = path
    if isinstance(inside, Mapping):
        return {**inside, str(name): _put(inside[str(name)], tuple(rest), value)}
    items = list(inside)
    items[int(name)] = _put(items[int(name)], tuple(rest), value)
    return items
