"""Torque tools of the register in words, and orders of bolts as they are typed; no Qt."""

from seatproof.core.equipment.item import Item
from seatproof.core.plan.fitting import TorqueStep
from seatproof.core.record.errors import CommandRefusedError
from seatproof.core.record.kinds import ToolInService


def tool_words(tool: ToolInService | None) -> str:
    """Say which tool is in hand, with its class and its calibration."""
    if tool is None:
        return "No torque tool in service"
    parts = [f"Tool {tool.inventory_number}", tool.description, tool.tool_class]
    parts.append(
        f"calibrated until {tool.calibration_due}"
        if tool.calibration_due
        else "no calibration date"
    )
    if tool.override_reason:
        parts.append(f"used all the same: {tool.override_reason}")
    return ", ".join(filter(None, parts))


def class_and_date_faults(step: TorqueStep, tool: ToolInService) -> tuple[str, ...]:
    """Say where a tool has no calibration date, or another class than the plan asks for."""
    found = []
    if not tool.calibration_due:
        found.append(f"Tool {tool.inventory_number} has no calibration date in the register.")
    if step.tool_class and _plain(step.tool_class) != _plain(tool.tool_class):
        has = f"is of class “{tool.tool_class}”" if tool.tool_class else "has no class"
        found.append(
            f"The plan asks for “{step.tool_class}”, and tool {tool.inventory_number} {has}."
        )
    return tuple(found)


def order_from(step: TorqueStep, text: str) -> tuple[str, ...]:
    """Return the order that somebody typed; `CommandRefusedError` says which bolt is wrong."""
    names = tuple(name.strip() for name in text.replace(";", ",").split(",") if name.strip())
    known = set(step.bolt_names)
    for name in names:
        if name not in known:
            raise CommandRefusedError(f"The joint has no bolt “{name}”; {_all_bolts(step)}")
        if names.count(name) > 1:
            raise CommandRefusedError(f"Bolt {name} stands there twice; {_all_bolts(step)}")
    missing = [name for name in step.bolt_names if name not in names]
    if missing:
        raise CommandRefusedError(f"Bolt {missing[0]} is missing; {_all_bolts(step)}")
    return names


def _all_bolts(step: TorqueStep) -> str:
    return f"name each of {', '.join(step.bolt_names)} once, with a comma between."


def in_service(item: Item, reason: str = "") -> ToolInService:
    """Return the event by which a tool of the register goes into service."""
    return ToolInService(
        inventory_number=item.inventory_number,
        description=item.description,
        serial_number=item.serial_number,
        tool_class=item.torque_class,
        calibration_date=item.certificate.calibrated,
        calibration_due=item.certificate.due,
        certificate=item.certificate.number,
        override_reason=reason,
    )


def no_tool_words(step: TorqueStep) -> str:
    """Name the deviation of a joint that is tightened without a tool of the register."""
    return f"Joint {step.id} ({step.text}) is tightened with no torque tool of the register"


def _plain(text: str) -> str:
    return " ".join(text.casefold().split())
