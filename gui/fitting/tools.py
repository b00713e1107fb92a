"""Torque tools of the register in words, and orders of bolts as they are typed; no Qt."""

from seatproof.core.equipment.item import Item
from seatproof.core.plan.fitting import TorqueStep
from seatproof.core.record.errors import CommandRefusedError
from seatproof.core.record.kinds import ToolInService
from seatproof.gui.shared.saying import again, say


def tool_words(tool: ToolInService | None) -> str:
    """Say which tool is in hand, with its class and its calibration."""
    if tool is None:
        return say("No torque tool in service")
    number = tool.inventory_number
    parts = [say("Tool {number}", number=number), tool.description, tool.tool_class]
    parts.append(
        say("calibrated until {date}", date=tool.calibration_due)
        if tool.calibration_due
        else say("no calibration date")
    )
    if tool.override_reason:
        parts.append(say("used all the same: {reason}", reason=again(tool.override_reason)))
    return ", ".join(filter(None, parts))


def class_and_date_faults(step: TorqueStep, tool: ToolInService) -> tuple[str, ...]:
    """Say where a tool has no calibration date, or another class than the plan asks for."""
    found = []
    number = tool.inventory_number
    if not tool.calibration_due:
        found.append(say("Tool {number} has no calibration date in the register.", number=number))
    if step.tool_class and _plain(step.tool_class) != _plain(tool.tool_class):
        found.append(
            say(
                "The plan asks for “{asked}”, and tool {number} is of class “{found}”.",
                asked=step.tool_class,
                number=number,
                found=tool.tool_class,
            )
            if tool.tool_class
            else say(
                "The plan asks for “{asked}”, and tool {number} has no class.",
                asked=step.tool_class,
                number=number,
            )
        )
    return tuple(found)


def order_from(step: TorqueStep, text: str) -> tuple[str, ...]:
    """Return the order that somebody typed; `CommandRefusedError` says which bolt is wrong."""
    names = tuple(name.strip() for name in text.replace(";", ",").split(",") if name.strip())
    known, bolts = set(step.bolt_names), ", ".join(step.bolt_names)
    for name in names:
        if name not in known:
            raise CommandRefusedError(
                say(
                    "The joint has no bolt “{bolt}”; name each of {bolts} once, with a comma "
                    "between.",
                    bolt=name,
                    bolts=bolts,
                )
            )
        if names.count(name) > 1:
            raise CommandRefusedError(
                say(
                    "Bolt {bolt} stands there twice; name each of {bolts} once, with a comma "
                    "between.",
                    bolt=name,
                    bolts=bolts,
                )
            )
    missing = [name for name in step.bolt_names if name not in names]
    if missing:
        raise CommandRefusedError(
            say(
                "Bolt {bolt} is missing; name each of {bolts} once, with a comma between.",
                bolt=missing[0],
                bolts=bolts,
            )
        )
    return names


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
    """Name the deviation of a joint that is tightened without a tool of the register.

    It goes into the record, and is English there.
    """
    return f"Joint {step.id} ({step.text}) is tightened with no torque tool of the register"


def _plain(text: str) -> str:
    return " ".join(text.casefold().split())
