"""Plans as TOML files: reading with errors that name the mend, rewriting with comments kept."""

import difflib
import os
import re
import tomllib
from collections.abc import Mapping, MutableMapping
from decimal import Decimal
from pathlib import Path
from typing import Any

import tomlkit
from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails
from tomlkit.items import AoT

from seatproof.core.plan.errors import PlanError, Problem
from seatproof.core.plan.fields import number
from seatproof.core.plan.model import Plan
from seatproof.core.units import Unit

MAX_PLAN_BYTES = 1_000_000  # a plan is a page or two; anything of this size is another file


def load_plan(path: Path) -> Plan:
    """Read a plan file.

    Raises
    ------
    PlanError
        The file cannot be read, is no TOML, or is not a plan that can be carried out.
    """
    return parse_plan(read_plan_text(path), source=str(path))


def read_plan_text(path: Path) -> str:
    """Return the text of a plan file; `PlanError` where there is none to be had."""
    try:
        if path.stat().st_size > MAX_PLAN_BYTES:
            raise PlanError.single(
                str(path), "the file is far too long to be a plan; name a plan file"
            )
        return path.read_text(encoding="utf-8")
    except FileNotFoundError as error:
        raise PlanError.single(str(path), "there is no such file; check the name") from error
    except UnicodeDecodeError as error:
        raise PlanError.single(str(path), "the file is not UTF-8 text; name a plan file") from error
    except OSError as error:
        raise PlanError.single(str(path), f"the file cannot be read ({error.strerror})") from error


def parse_plan(text: str, source: str = "text") -> Plan:
    """Read a plan from TOML text; raises `PlanError` naming every field to mend."""
    try:
        data = tomllib.loads(text, parse_float=Decimal)
    except tomllib.TOMLDecodeError as error:
        raise PlanError.single(source, f"it is not valid TOML: {error}") from error
    try:
        return Plan.model_validate(data, context={"unit": _unit_of(data)})
    except ValidationError as error:
        problems = tuple(_problem(detail, data) for detail in error.errors(include_url=False))
        raise PlanError(source, problems) from error


def render_plan(plan: Plan, original: str | None = None) -> str:
    """Write a plan as TOML; with `original`, keep its comments, order and spelling of values.

    Only what differs from the original is touched, so that a rewrite of an unchanged plan gives
    the same text.
    """
    context = {"unit": plan.unit}
    full = plan.model_dump(by_alias=True, exclude_none=True, context=context)
    sparse = plan.model_dump(
        by_alias=True, exclude_none=True, exclude_defaults=True, context=context
    )
    document = tomlkit.parse(original) if original is not None else tomlkit.document()
    _merge(document, _plain(full), _plain(sparse))
    text = tomlkit.dumps(document)
    if parse_plan(text) != plan:
        raise AssertionError("a plan must read back as it was written")
    return text


def save_plan(
    plan: Plan, path: Path, *, original: str | None = None, replace: bool = False
) -> None:
    """Write a plan file whole or not at all.

    Raises
    ------
    PlanError
        The file exists and `replace` is not set, or it cannot be written.
    """
    text = render_plan(plan, original)
    if path.exists() and not replace:
        raise PlanError.single(str(path), "the file exists already; choose another name")
    unfinished = path.with_name(path.name + ".part")
    try:
        with unfinished.open("w", encoding="utf-8", newline="\n") as stream:
            stream.write(text)
            stream.flush()
            os.fsync(stream.fileno())
        unfinished.replace(path)
    except OSError as error:
        unfinished.unlink(missing_ok=True)
        raise PlanError.single(
            str(path), f"the file cannot be written ({error.strerror})"
        ) from error


def _unit_of(data: Mapping[str, Any]) -> Unit:
    heading = data.get("plan")
    text = heading.get("unit") if isinstance(heading, dict) else None
    return Unit.INCH if text == Unit.INCH.value else Unit.MM


# --- errors in words -----------------------------------------------------------------------------

_MISSING = object()

_SENTENCES = {
    "missing": "is missing; add it",
    "string_type": "is not text; put it between quotes",
    "string_too_short": "is empty; write something",
    "string_too_long": "is too long; at most {max_length} characters",
    "string_pattern_mismatch": "may hold letters, digits, - and _ only, 12 at most",
    "int_type": "is not a whole number",
    "int_from_float": "is not a whole number",
    "greater_than": "must be greater than {gt}",
    "greater_than_equal": "must be {ge} or more",
    "less_than": "must be less than {lt}",
    "less_than_equal": "must be {le} or less",
    "too_short": "needs at least {min_length} entry",
    "too_long": "has more than {max_length} entries",
    "model_type": "is not a table; write it as [name] with keys below",
    "tuple_type": "is not a list; write it as [[name]] with keys below, once for each",
}


def _problem(detail: ErrorDetails, data: Mapping[str, Any]) -> Problem:
    location = tuple(part for part in detail["loc"] if part not in ("int", "tuple"))
    found = _found(location, data)
    context = detail.get("ctx", {})
    kind = detail["type"]
    if kind == "plan":
        sentence = str(context["sentence"])
    elif kind == "extra_forbidden":
        sentence = f"is no key of a plan{_near(location, detail)}; correct or remove it"
    elif location == ("format",) and kind == "literal_error":
        sentence = "is a plan format that this version does not know; it reads format 1"
    elif kind in ("literal_error", "enum"):
        known = re.sub(r"<Unit\.\w+: ('\w+')>", r"\1", str(context["expected"]))
        sentence = f"is not one of {known}"
    elif kind in _SENTENCES:
        sentence = _SENTENCES[kind].format(**context)
    else:
        sentence = detail["msg"]
    shown = None if found is _MISSING or isinstance(found, dict | list) else _as_toml(found)
    return Problem(_path(location, data), shown, sentence)


def _found(location: tuple[str | int, ...], data: Any) -> Any:
    for part in location:
        try:
            data = data[part]
        except (KeyError, IndexError, TypeError):
            return _MISSING
    return data


def _path(location: tuple[str | int, ...], data: Any) -> str:
    """Write a field's path as its author knows it: ``seat "A", stations``."""
    words: list[str] = []
    for index, part in enumerate(location):
        if isinstance(part, int) and words:
            entry = _found(location[: index + 1], data)
            name = entry.get("id") if isinstance(entry, dict) else None
            words[-1] += f' "{name}"' if isinstance(name, str) else f" {part + 1}"
        else:
            words.append(str(part))
    return ", ".join(words)


def _near(location: tuple[str | int, ...], detail: ErrorDetails) -> str:
    del detail
    model: type[BaseModel] | None = Plan
    for part in location[:-1]:
        if isinstance(part, int) or model is None:
            continue
        model = _model_below(model, part)
    if model is None:
        return ""
    known = [field.alias or name for name, field in model.model_fields.items()]
    close = difflib.get_close_matches(str(location[-1]), known, n=1)
    return f' (is "{close[0]}" meant?)' if close else ""


def _model_below(model: type[BaseModel], key: str) -> type[BaseModel] | None:
    for name, field in model.model_fields.items():
        if key == (field.alias or name):
            candidates = [field.annotation, *getattr(field.annotation, "__args__", ())]
            for candidate in candidates:
                if isinstance(candidate, type) and issubclass(candidate, BaseModel):
                    return candidate
    return None


def _as_toml(value: Any) -> str:
    return f'"{value}"' if isinstance(value, str) else f"{value}"


# --- rewriting -----------------------------------------------------------------------------------


def _plain(value: Any) -> Any:
    """Turn dumped values into what TOML knows: decimals to numbers, tuples to lists."""
    if isinstance(value, Mapping):
        return {key: _plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    if isinstance(value, Decimal):
        return _toml_number(value)
    if isinstance(value, Unit):
        return value.value
    return value


def _toml_number(value: Decimal) -> Any:
    exact = value.normalize()
    if exact == exact.to_integral_value():
        return int(exact)
    if abs(exact) < Decimal("0.0001"):
        return tomlkit.float_(f"{exact:e}")
    return tomlkit.float_(f"{exact:f}")


def _merge(table: MutableMapping[str, Any], full: dict[str, Any], sparse: dict[str, Any]) -> None:
    for key in [key for key in table if key not in full]:
        del table[key]
    for key, value in full.items():
        if key not in table:
            if key in sparse:
                table[key] = _fresh(value if not isinstance(value, dict | list) else sparse[key])
        elif isinstance(value, dict):
            _merge(table[key], value, sparse.get(key, {}))
        elif isinstance(table[key], AoT):
            _merge_entries(table[key], value, sparse.get(key, []))
        elif not _same(table[key], value):
            table[key] = value


def _fresh(value: Any) -> Any:
    if isinstance(value, list) and value and all(isinstance(item, dict) for item in value):
        entries = tomlkit.aot()
        for item in value:
            entries.append(_fresh(item))
        return entries
    if isinstance(value, dict):
        table = tomlkit.table()
        for key, item in value.items():
            table[key] = _fresh(item)
        return table
    return value


def _merge_entries(entries: AoT, full: list[Any], sparse: list[Any]) -> None:
    wanted = [entry.get("id") for entry in full]
    present = [entry.get("id") for entry in entries]
    if None in wanted or None in present:
        pairs = [index if index < len(entries) else None for index in range(len(full))]
    else:
        pairs = [present.index(name) if name in present else None for name in wanted]
    kept = [entries[index] if index is not None else None for index in pairs]
    if pairs != list(range(len(entries))):
        # Entries were added, removed or moved: rebuild the list from the tables kept.
        while len(entries):
            del entries[0]
        for old, new in zip(kept, sparse, strict=True):
            entries.append(old if old is not None else _fresh(new))
    for index, value in enumerate(full):
        _merge(entries[index], value, sparse[index] if index < len(sparse) else {})


def _same(old: Any, new: Any) -> bool:
    """Tell whether the spelling in the file already means the new value."""
    if isinstance(old, list) and isinstance(new, list):
        return len(old) == len(new) and all(_same(a, b) for a, b in zip(old, new, strict=True))
    if isinstance(new, int | float) and not isinstance(new, bool):
        try:
            return number(_exact(old)) == number(_exact(new))
        except ValueError:
            return False
    return bool(old == new)


def _exact(value: Any) -> Any:
    """Take a tomlkit float at the text it has in the file."""
    as_string = getattr(value, "as_string", None)
    return (
        Decimal(as_string().replace("_", "")) if isinstance(value, float) and as_string else value
    )
