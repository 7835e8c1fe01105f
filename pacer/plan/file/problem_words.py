"""Plain words for what a schema check found wrong with an outline file."""

from collections.abc import Mapping
from typing import Any, get_args

from pydantic import BaseModel

from pacer.plan.durations import format_duration
from pacer.plan.file.model import (
    MAX_PHASES,
    BlockTable,
    BurstTable,
    GroupTable,
    OutlineTable,
    PhaseTable,
    StationTable,
)
from pacer.plan.finding import KeyPath
from pacer.plan.problems import WhatAndFix, clipped, did_you_mean, mean_words
from pacer.text import _

_HEADS = {"block": "[block]", "burst": "[[phase.burst]]"}  # the first line of a table; others are [[key]]


def describe(error: Mapping[str, Any]) -> WhatAndFix:
    """What is wrong and what to do next, for one entry of pydantic's error list."""
    loc, kind, context = error["loc"], error["type"], error.get("ctx", {})
    key = next((str(part) for part in reversed(loc) if isinstance(part, str)), "")
    shown = _as_shown(error.get("input"))
    if kind == "extra_forbidden":
        return _unknown_key(loc, key)
    if kind == "missing" or (kind == "too_short" and key == "phase"):
        return _missing(loc, key)
    if kind == "literal_error":
        return _not_a_choice(loc, key, shown, error.get("input"))
    if kind in ("int_type", "int_from_float", "greater_than_equal", "less_than_equal"):
        return _("{key} = {value} won't do.", key=key, value=shown), _number_range(context)
    if key == "order" and kind in ("too_long", "list_type"):
        kind = {"too_long": "too_long_list", "list_type": "no_list"}[kind]
    what, fix = _words_of_kind(kind)
    least = format_duration(context.get("low", 0))
    most = format_duration(context["high"]) if "high" in context else context.get("max_length", MAX_PHASES)
    return what.format(key=key, value=shown, code=context.get("code")), fix.format(
        key=key, least=least, most=most, head=_HEADS.get(key, f"[[{key}]]")
    )


def _words_of_kind(kind: str) -> WhatAndFix:
    no_table = _("{key} is not written as a table."), _("Start it with {head}.")
    words = {
        "duration": (
            _("{key} = {value} is not a duration."),
            _('Write minutes "3", "2:30", "90 s" or "PT2M30S".'),
        ),
        "duration_low": (_("{key} is too short."), _("It is at least {least}.")),
        "duration_high": (_("{key} is too long."), _("It is at most {most}.")),
        "control": (_("{key} holds a character that can't be seen ({code})."), _("Delete it.")),
        "comma": (
            _("{key} holds a comma."),
            _("A comma stands between two names: write this one without, or each in quotes of its own."),
        ),
        "string_too_short": (_("{key} is empty."), _("Write something.")),
        "string_too_long": (_("{key} is too long."), _("At most {most} characters.")),
        "string_type": (_("{key} must be text."), _('Put it in "quotes".')),
        "string_pattern_mismatch": (
            _("{key} = {value} has a space or a sign in it."),
            _("Use letters, digits and hyphens."),
        ),
        "too_long": (_("There are too many [[{key}]] tables."), _("At most {most}.")),
        "bool_type": (
            _("{key} = {value} is not true or false."),
            _("Only your own table is marked: teacher = true."),
        ),
        "too_long_list": (_("{key} names too many."), _("At most {most}.")),
        "no_list": (_("{key} is not a list of names."), _('Write: {key} = ["Circle", "Triangle"]')),
        **dict.fromkeys(("list_type", "model_type", "dict_type", "model_attributes_type"), no_table),
    }
    return words.get(kind, (_("{key} = {value} can't be used."), ""))


def _number_range(context: Mapping[str, Any]) -> str:
    if "ge" in context:
        return _("Write a whole number, {least} or more.", least=context["ge"])
    if "le" in context:
        return _("Write a whole number, {most} or less.", most=context["le"])
    return _("Write a whole number without quotes.")


def _as_shown(value: object) -> str:
    """A value as the teacher wrote it, cut short; never a whole file or a nested table."""
    if isinstance(value, dict | list):
        return "…"
    if isinstance(value, str):
        return f'"{clipped(value)}"'
    if isinstance(value, int) and value.bit_length() > 200:
        return "…"  # Python refuses to write out a number of thousands of digits
    return clipped(str(value).lower())


def _model_at(loc: KeyPath) -> type[BaseModel]:
    """The table that a location stands in."""
    names = [part for part in loc[:-1] if isinstance(part, str)]
    tables: dict[str, type[BaseModel]] = {
        "block": BlockTable, "phase": PhaseTable, "burst": BurstTable, "group": GroupTable,
        "station": StationTable,
    }  # fmt: skip
    return tables.get(names[-1] if names else "", OutlineTable)


def _unknown_key(loc: KeyPath, key: str) -> WhatAndFix:
    near = did_you_mean(key, _model_at(loc).model_fields)
    what = _('There is no key "{key}" here.', key=_as_shown(key).strip('"'))
    return what, mean_words(key, near) if near else _("Take it out, or check its spelling.")


def _missing(loc: KeyPath, key: str) -> WhatAndFix:
    if key == "format":
        return _("The first line is missing."), _("Write: format = 1")
    if key == "phase":
        return _("There is no phase."), _("Add a [[phase]] with a title and a budget.")
    if len(loc) > 1:
        number = next((part + 1 for part in loc if isinstance(part, int)), 1)
        words = {
            "group": _("Group {number} has no {key}."),
            "station": _("Station {number} has no {key}."),
        }.get(str(loc[0]), _("Phase {number} has no {key}."))
        what = words.format(number=number, key=key)
    else:
        what = _("The outline has no {key}.", key=key)
    return what, _('Add a line: {key} = "…"', key=key)


def _not_a_choice(loc: KeyPath, key: str, shown: str, value: object) -> WhatAndFix:
    if key == "format":
        return _("format = {value} is not known to this version.", value=shown), _("Write: format = 1")
    annotation = _model_at(loc).model_fields[key].annotation
    choices = [str(choice) for choice in _literal_values(annotation)]
    near = did_you_mean(value, choices) if isinstance(value, str) else None
    what = _("{key} = {value} is not one of the choices.", key=key, value=shown)
    if near:
        return what, mean_words(str(value), near)
    return what, _("Choose from: {choices}.", choices=", ".join(choices))


def _literal_values(annotation: object) -> list[object]:
    """The values of a Literal, also inside an optional one."""
    values = get_args(annotation)
    if not values:
        return []
    if all(isinstance(value, str | int) for value in values):
        return list(values)
    return [inner for value in values for inner in _literal_values(value)]
