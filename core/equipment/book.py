"""The register of equipment of an archive: entries, changes with reasons, history."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Annotated, Final

from pydantic import Field

from seatproof.core.equipment.errors import EquipmentRefusedError
from seatproof.core.equipment.item import Item
from seatproof.core.record.events import Event
from seatproof.core.record.kinds.parts import DecimalText, Number, Payload, PositiveText, Reason
from seatproof.core.registers.register import Register, RegisterStore, read_entry

REGISTER: Final = "equipment"


class ItemEntered(Payload):
    """A piece of equipment came into the register."""

    kind = "item entered"
    item: Item


class ItemChanged(Payload):
    """What the register says of a piece of equipment was changed, whole, for a reason."""

    kind = "item changed"
    item: Item
    reason: Reason


class ItemRetired(Payload):
    """A piece of equipment is used no longer; it stays in the register."""

    kind = "item retired"
    inventory_number: Number
    reason: Reason


class RepeatabilityTested(Payload):
    """One point was pressed several times; `values_mm` as they came, `deviation_mm` their spread.

    `deviation_mm` is the experimental standard deviation of one reading.
    """

    kind = "repeatability tested"
    inventory_number: Number
    values_mm: Annotated[tuple[DecimalText, ...], Field(min_length=2, max_length=1000)]
    deviation_mm: DecimalText
    resolution_mm: PositiveText


_KINDS: Final[Mapping[str, type[Payload]]] = {
    payload.kind: payload
    for payload in (ItemEntered, ItemChanged, ItemRetired, RepeatabilityTested)
}


@dataclass(frozen=True, slots=True)
class Entry:
    """A piece of equipment as the register has it now, with everything that was entered of it."""

    item: Item
    history: tuple[Event, ...]
    retired_because: str = ""

    @property
    def is_retired(self) -> bool:
        return bool(self.retired_because)


@dataclass(slots=True)
class EquipmentBook:
    """The open register; every method enters first and changes its state only afterwards."""

    register: Register
    entries: Mapping[str, Entry] = field(default_factory=dict)

    @classmethod
    def open(cls, store: RegisterStore, clock: Callable[[], datetime]) -> "EquipmentBook":
        """Read the register of an archive.

        Raises
        ------
        ChainBrokenError
            It was altered.
        EventUnknownError
            It was written by a newer program.
        """
        register = Register.open(REGISTER, store, clock)
        entries: dict[str, Entry] = {}
        for event in register.events:
            _add(entries, event)
        return cls(register, entries)

    def items(self, *, retired: bool = False) -> tuple[Item, ...]:
        """Return the equipment in use, by inventory number; the retired too where asked for."""
        return tuple(
            entry.item
            for _, entry in sorted(self.entries.items())
            if retired or not entry.is_retired
        )

    def enter(self, actor: str, item: Item) -> None:
        """Enter a new piece of equipment; `EquipmentRefusedError` where its number is taken."""
        if item.inventory_number in self.entries:
            raise EquipmentRefusedError(
                f"The inventory number {item.inventory_number} is in the register already; give "
                "another, or change the entry that has it."
            )
        self._log(actor, ItemEntered(item=item))

    def change(self, actor: str, item: Item, reason: str) -> None:
        """Replace what the register says of an item; the old entry stays in its history.

        A retired one comes back into use by it.
        """
        entry = self._entry(item.inventory_number)
        if entry.item == item and not entry.is_retired:
            raise EquipmentRefusedError("Nothing was changed; there is nothing to enter.")
        self._log(actor, ItemChanged(item=item, reason=_reason(reason)))

    def retire(self, actor: str, inventory_number: str, reason: str) -> None:
        """Take an item out of use; records that name it keep it."""
        if self._entry(inventory_number).is_retired:
            raise EquipmentRefusedError(f"{inventory_number} is retired already.")
        self._log(actor, ItemRetired(inventory_number=inventory_number, reason=_reason(reason)))

    def note_repeatability(self, actor: str, test: RepeatabilityTested) -> None:
        """Keep a repeatability test with the gauge it was made on."""
        self._entry(test.inventory_number)
        self._log(actor, test)

    def _entry(self, inventory_number: str) -> Entry:
        entry = self.entries.get(inventory_number)
        if entry is None:
            raise EquipmentRefusedError(
                f"The register has no {inventory_number}; check the inventory number."
            )
        return entry

    def _log(self, actor: str, payload: Payload) -> None:
        event = self.register.append(actor, payload)
        entries = dict(self.entries)
        _add(entries, event)
        self.entries = entries


def _reason(text: str) -> str:
    if not text.strip():
        raise EquipmentRefusedError("Give a reason; it stays in the register beside the change.")
    return text.strip()


def _add(entries: dict[str, Entry], event: Event) -> None:
    match read_entry(event, _KINDS):
        case ItemEntered(item=item) | ItemChanged(item=item):
            before = entries.get(item.inventory_number)
            history = () if before is None else before.history
            entries[item.inventory_number] = Entry(item, (*history, event))
        case ItemRetired(inventory_number=number, reason=reason):
            old = entries[number]
            entries[number] = Entry(old.item, (*old.history, event), reason)
        case RepeatabilityTested(inventory_number=number):
            old = entries[number]
            entries[number] = Entry(old.item, (*old.history, event), old.retired_because)
