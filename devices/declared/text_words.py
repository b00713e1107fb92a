"""A text layout in words, for the person whose gauge it is."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from seatproof.devices.declared.text import TextLayout


def layout_in_words(layout: TextLayout) -> list[str]:
    """Return the layout as clauses for a person."""
    words = []
    if layout.lead:
        words.append(f"it begins with {_shown(layout.lead)}")
    if layout.channel:
        words.append(f'then a channel mark like "{layout.channel}"')
    words.append(_sign_in_words(layout))
    if layout.gap:
        words.append(f"{_shown(layout.gap)} before the number")
    if layout.fill:
        place = "before the sign" if layout.fill_first else "before the number"
        words.append(f"filled up with {_shown(layout.fill)} {place}")
    words.append(_number_in_words(layout))
    if layout.units:
        names = ", ".join(f"{_shown(text)} for {u.sign}" for text, u in layout.units.items())
        words.append(f"then the unit: {names}")
    if any(layout.tails):
        words.append("then " + " or ".join(_shown(tail) for tail in layout.tails))
    if layout.check is not None:
        words.append(f"then check characters ({layout.check.rule})")
    return words


def _sign_in_words(layout: TextLayout) -> str:
    match layout.sign:
        case "always":
            return f"a sign, {_shown(layout.plus)} or {_shown(layout.minus)}"
        case "minus only":
            return f"{_shown(layout.minus)} if the value is negative"
        case "never":
            return "no sign"


def _number_in_words(layout: TextLayout) -> str:
    n_digits = layout.digits_in_words
    if not layout.mark and not layout.decimals:
        return f"{n_digits} digits without decimals"
    if not layout.mark:
        return f"{n_digits} digits, of which the last {layout.decimals} are decimals"
    name = "point" if layout.mark == b"." else "comma"
    decimals = "" if layout.decimals is None else f", {layout.decimals} of them decimals"
    return f"{n_digits} digits with a decimal {name}{decimals}"


def _shown(data: bytes) -> str:
    if data.isascii() and data.decode("ascii").isprintable():
        return "a blank" if data == b" " else f'"{data.decode("ascii")}"'
    return f"the byte{'s' * (len(data) > 1)} {data.hex(' ')}"
