"""Plans as TOML files: reading with errors that name the mend, rewriting with comments kept."""

import contextlib
import difflib
import json
import os
import re
import tomllib
from collections.abc import Iterator, Mapping, MutableMapping
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, get_args

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from seatproof.core.plan.errors import PlanError, Problem
from seatproof.core.plan.model import Plan
from seatproof.core.units import Unit

# The rewriting of plans is imported where it is done: reading one needs the standard library alone.
if TYPE_CHECKING:
    from tomlkit.items import AoT

MAX_PLAN_BYTES: Final = 1_000_000  # a plan is a page or two; anything of this size is another file


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
        if path.is_dir():
            raise PlanError.single(str(path), "it is a folder; name a plan file in it")
        if path.stat().st_size > MAX_PLAN_BYTES:
            raise PlanError.single(
                str(path), "the file is far too long to be a plan; name a plan file"
            )
        return path.read_text(encoding="utf-8-sig")  # some editors put a mark before the text
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
    except (ValueError, RecursionError) as error:
        # Python reads no whole number of thousands of digits, and no thousandfold nesting.
        raise PlanError.single(
            source, "it holds a number or a nesting far beyond any plan; name a plan file"
        ) from error
    try:
        return Plan.model_validate(data, context={"unit": _unit_of(data)})
    except ValidationError as error:
        details = error.errors(include_url=False)
        problems = tuple(
            _problem(detail, data) for detail in details if not _is_echo(detail, details)
        )
        raise PlanError(source, problems) from error


def render_plan(plan: Plan, original: str | None = None) -> str:
    """Write a plan as TOML; with `original`, keep its comments, order and spelling of values.

    Only what differs from the original is touched, so that a rewrite of an unchanged plan gives
    the same text.

    Raises
    ------
    PlanError
        `original` is no plan, or `plan` was put together so that it cannot be read back.
    """
    import tomlkit

    before = None if original is None else parse_plan(original, source="to be rewritten")
    if before == plan and original is not None:
        return original
    full, sparse = _dump(plan), _dump(plan, exclude_defaults=True)
    document = tomlkit.document() if original is None else tomlkit.parse(original)
    _merge(document, {} if before is None else _dump(before), full, sparse)
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
        with contextlib.suppress(OSError):  # where it could not be made it cannot be removed
            unfinished.unlink()
        raise PlanError.single(
            str(path), f"the file cannot be written ({error.strerror})"
        ) from error


def _unit_of(data: Mapping[str, Any]) -> Unit:
    heading = data.get("plan")
    text = heading.get("unit") if isinstance(heading, dict) else None
    return Unit.INCH if text == Unit.INCH.value else Unit.MM


# --- errors in words -----------------------------------------------------------------------------

_MISSING: Final = object()
_SHOWN_LENGTH: Final = 60
_TOML_INTEGER_BITS: Final = 64

_SENTENCES = {
    "missing": "is missing; add it",
    "string_type": "is not text; put it between quotes",
    "string_too_short": "is empty; write something",
    "string_too_long": "is too long; at most {max_length} characters",
    "string_pattern_mismatch": "may hold letters, digits, - and _ only, 12 at most",
    "int_type": "is not a whole number; write it as 3, without quotes or point",
    "int_from_float": "is not a whole number; write it as 3, without quotes or point",
    "greater_than": "must be greater than {gt}",
    "greater_than_equal": "must be {ge} or more",
    "less_than": "must be less than {lt}",
    "less_than_equal": "must be {le} or less",
    "too_short": "has too few entries; at least {min_length}",
    "too_long": "has more than {max_length} entries",
    "model_type": "is not a table; write it as [name] with keys below",
    "union_tag_not_found": "has no {discriminator}; say which kind it is",
    "union_tag_invalid": 'has {discriminator} = "{tag}"; must be {expected_tags}',
    "tuple_type": "is not a list; write it as [[name]] with keys below, once for each",
}


def _is_echo(detail: ErrorDetails, details: list[ErrorDetails]) -> bool:
    """Tell whether an error says no more than that the entries of a list were refused."""
    here = detail["loc"]
    return detail["type"] == "too_short" and any(
        other["loc"][: len(here)] == here for other in details if other is not detail
    )


def _problem(detail: ErrorDetails, data: Mapping[str, Any]) -> Problem:
    location = _without_branches(detail["loc"])
    found = _found(location, data)
    context = {
        key: re.sub(r"Decimal\('(.+)'\)", r"\1", str(value)).replace("'kind'", "kind")
        for key, value in detail.get("ctx", {}).items()
    }
    kind = detail["type"]
    if kind == "plan":
        sentence = context["sentence"]
    elif kind == "extra_forbidden":
        sentence = f"is no key of a plan{_near(location, detail)}; correct or remove it"
    elif location == ("format",) and kind == "literal_error":
        sentence = "is a plan format that this version does not know; it reads format 1"
    elif kind in ("literal_error", "enum"):
        known = re.sub(r"<Unit\.\w+: ('\w+')>", r"\1", context["expected"])
        sentence = f"must be {known}"
    elif kind in _SENTENCES:
        sentence = _SENTENCES[kind].format(**context)
    else:
        sentence = detail["msg"]
    return Problem(_path(location, data), _as_toml(found), sentence.rstrip("."))


def _without_branches(location: tuple[str | int, ...]) -> tuple[str | int, ...]:
    """Take out what pydantic adds to a path to say which branch of a choice it took."""
    branch = {"uncertainty": 1, "fitting": 2}.get(str(location[0])) if location else None
    return tuple(
        part
        for index, part in enumerate(location)
        if index != branch and part not in ("int", "tuple")
    )


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
    models: list[type[BaseModel]] = [Plan]
    for part in location[:-1]:
        if not isinstance(part, int):
            models = [below for model in models for below in _models_below(model, part)]
    known = [field.alias or name for model in models for name, field in model.model_fields.items()]
    close = difflib.get_close_matches(str(location[-1]), known, n=1)
    return f' (is "{close[0]}" meant?)' if close else ""


def _models_below(model: type[BaseModel], key: str) -> list[type[BaseModel]]:
    """Return every model that a key of a model may hold."""
    for name, field in model.model_fields.items():
        if key == (field.alias or name):
            return list(_models_in(field.annotation))
    return []


def _models_in(annotation: Any) -> Iterator[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    for part in get_args(annotation):
        yield from _models_in(part)


def _as_toml(value: Any) -> str | None:
    """Write a value as it stands in the file, shortened; None where it is missing or a table."""
    if value is _MISSING or isinstance(value, dict):
        return None
    if isinstance(value, list):
        items = [_as_toml(item) for item in value]
        return None if None in items else _shortened(f"[{', '.join(str(item) for item in items)}]")
    if isinstance(value, bool | str):
        return _shortened(json.dumps(value, ensure_ascii=False))
    if isinstance(value, int) and value.bit_length() > _TOML_INTEGER_BITS:
        return "a whole number beyond what TOML allows"
    return _shortened(f"{value}")


def _shortened(text: str) -> str:
    return text if len(text) <= _SHOWN_LENGTH else f"{text[: _SHOWN_LENGTH - 1]}…"


# --- rewriting -----------------------------------------------------------------------------------


def _dump(plan: Plan, *, exclude_defaults: bool = False) -> dict[str, Any]:
    """Return a plan by the names and in the unit of its file; numbers are exact decimals."""
    return plan.model_dump(
        by_alias=True,
        exclude_none=True,
        exclude_defaults=exclude_defaults,
        context={"unit": plan.unit},
    )


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
    import tomlkit

    exact = value.normalize()
    if exact == exact.to_integral_value():
        return int(exact)
    if abs(exact) < Decimal("0.0001"):
        return tomlkit.float_(f"{exact:e}")
    return tomlkit.float_(f"{exact:f}")


def _merge(
    table: MutableMapping[str, Any],
    before: Mapping[str, Any],
    full: Mapping[str, Any],
    sparse: Mapping[str, Any],
) -> None:
    """Bring a table from what it said before to what the plan says now.

    `full` holds every value, `sparse` only those that are not the default.
    """
    from tomlkit.items import AoT

    for key in [key for key in table if key not in full]:
        del table[key]
    for key, value in full.items():
        if key not in table:
            if key in sparse:
                table[key] = _plain(sparse[key])
        elif value == before[key]:
            continue
        elif isinstance(value, dict):
            _merge(table[key], before[key], value, sparse.get(key, {}))
        elif not isinstance(table[key], AoT):
            table[key] = _plain(sparse.get(key, value))
        elif value:
            _merge_entries(table[key], before[key], value, sparse[key])
        else:
            del table[key]


def _merge_entries(
    entries: "AoT",
    before: tuple[dict[str, Any], ...],
    full: tuple[dict[str, Any], ...],
    sparse: tuple[dict[str, Any], ...],
) -> None:
    import tomlkit

    wanted = [entry.get("id") for entry in full]
    present = [entry.get("id") for entry in before]
    if None in wanted or None in present:
        pairs = [index if index < len(before) else None for index in range(len(full))]
    else:
        pairs = [present.index(name) if name in present else None for name in wanted]
    kept = [entries[index] if index is not None else None for index in pairs]
    if pairs != list(range(len(before))):
        # Entries were added, removed or moved: rebuild the list from the tables kept.
        while len(entries):
            del entries[0]
        for old, new in zip(kept, sparse, strict=True):
            entry = old if old is not None else tomlkit.item(_plain(new))
            if old is None and len(entries) + 1 < len(sparse):
                entry.add(tomlkit.nl())  # the one that follows brings no blank line of its own
            entries.append(entry)
    for entry, index, value, stated in zip(entries, pairs, full, sparse, strict=True):
        if index is not None:
            _merge(entry, before[index], value, stated)
