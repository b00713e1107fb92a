"""What an event says that matters for finding, read by keys and never refused.

An event that this program cannot read in full, of a newer one for instance, is stored and listed
all the same; what is not as expected counts as not said.
"""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from functools import lru_cache
from typing import Any, Final, Self

from seatproof.core.record.events import Event

_EPOCH: Final = datetime(1970, 1, 1, tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class Happening:
    """What happened, when and by whom, whether in this inspection or in the one it revises."""

    kind: str
    payload: Mapping[str, Any]
    actor: str
    utc: str
    day: str

    @classmethod
    def of(cls, event: Event) -> Self:
        if event.kind != "carried over":
            day = day_of(event.utc, event.offset_min)
            return cls(event.kind, event.payload, event.actor, event.utc, day)
        old = event.payload
        utc, offset_min = text_at(old, "utc"), old.get("offset_min")
        return cls(
            text_at(old, "kind_of"),
            mapping_at(old, "payload_of"),
            text_at(old, "actor"),
            utc,
            day_of(utc, offset_min if isinstance(offset_min, int) else 0),
        )


@dataclass(frozen=True, slots=True)
class PlanWords:
    """What a plan calls itself and its seats."""

    title: str
    version: str
    seats: Mapping[str, str]  # id: id and name


@lru_cache(maxsize=16)
def plan_words(plan_toml: str) -> PlanWords | None:
    """Return what a plan calls itself and its seats; None where it is none."""
    try:
        table = tomllib.loads(plan_toml)
        seats = {str(seat["id"]): f"{seat['id']} {seat['name']}" for seat in table["seat"]}
        heading = table["plan"]
        return PlanWords(str(heading["title"]), str(heading["version"]), seats)
    except (KeyError, TypeError, ValueError, AttributeError):
        return None


def microseconds(utc: str) -> int:
    """Return a moment in microseconds since 1970; 0 where it is none."""
    try:
        return (datetime.fromisoformat(utc) - _EPOCH) // timedelta(microseconds=1)
    except (ValueError, TypeError):
        return 0


def day_of(utc: str, offset_min: int) -> str:
    """Return the day that the calendar on the wall showed."""
    try:
        return (datetime.fromisoformat(utc) + timedelta(minutes=offset_min)).date().isoformat()
    except (ValueError, TypeError, OverflowError):
        return utc[:10]


def text_at(payload: Mapping[str, Any], key: str) -> str:
    """Return the text at a key; "" where there is none."""
    value = payload.get(key)
    return value if isinstance(value, str) else ""


def mapping_at(payload: Mapping[str, Any], key: str) -> Mapping[str, Any]:
    """Return the mapping at a key; an empty one where there is none."""
    value = payload.get(key)
    return value if isinstance(value, Mapping) else {}


def texts_in(value: Any) -> list[str]:
    """Return all the texts inside a JSON value."""
    if isinstance(value, str):
        return [value] if value.strip() else []
    if isinstance(value, Mapping):
        return [text for inner in value.values() for text in texts_in(inner)]
    if isinstance(value, list | tuple):
        return [text for inner in value for text in texts_in(inner)]
    return []
