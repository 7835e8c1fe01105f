"""The outline file as it is written: which keys there are, what they accept, and their defaults."""

import unicodedata
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Field, WithJsonSchema
from pydantic_core import PydanticCustomError

from pacer.plan.durations import format_duration, parse_duration
from pacer.plan.kinds import BURST_S, Fate, KindName, TalkMode
from pacer.plan.outline import MAX_GROUPS, VISIT_FLOOR_S

MAX_PHASES = 60
MAX_PHASE_S = 3 * 3600
_DURATION_SCHEMA = {
    "anyOf": [{"type": "string"}, {"type": "number", "minimum": 0}],
    "description": 'Minutes ("3"), "2:30", "90 s" or ISO 8601 ("PT2M30S").',
}


def _read_duration(value: object) -> int:
    try:
        return parse_duration(value)
    except ValueError:
        raise PydanticCustomError("duration", "not a duration") from None


def _bounded(low: int, high: int) -> AfterValidator:
    def check(seconds: int) -> int:
        if seconds < low:
            raise PydanticCustomError("duration_low", "too short", {"low": low})
        if seconds > high:
            raise PydanticCustomError("duration_high", "too long", {"high": high})
        return seconds

    return AfterValidator(check)


def _without_control(value: str, keep: str = "") -> str:
    """Refuse control characters: they cannot be seen, and some change what is shown beside them."""
    if value.isprintable():  # then it has neither: most texts, and every outline is read at a start
        return value.strip()
    for char in value:
        hidden = unicodedata.category(char) in ("Cc", "Cs") or char in _DIRECTION_MARKS
        if hidden and char not in keep:
            raise PydanticCustomError("control", "control character", {"code": f"U+{ord(char):04X}"})
    return value.strip()


def _title(value: str) -> str:
    """A title that can be seen: blanks and signs without a shape alone are as good as none."""
    shown = _without_control(value)
    if all(char in _BLANKS or unicodedata.category(char) in ("Cf", "Zs") for char in shown):
        raise PydanticCustomError("string_too_short", "empty")
    return shown


def _listed_name(value: str) -> str:
    """A name that can stand in a list of names: on one line, its blanks single, and without a comma."""
    shown = " ".join(_title(value).split())
    if "," in shown:
        raise PydanticCustomError("comma", "a comma")
    return shown


def _no_boolean(value: object) -> object:
    """``true`` equals 1 in Python, not in an outline."""
    if isinstance(value, bool):
        raise PydanticCustomError("literal_error", "not a number")
    return value


# Letters and a sign that are drawn as nothing.
_BLANKS = "\u115f\u1160\u2800\u3164\uffa0"
# Signs that turn the direction of the text after them: a title could then read as another.
_DIRECTION_MARKS = "\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"

_SCHEMA = WithJsonSchema(_DURATION_SCHEMA)
Seconds = Annotated[int, BeforeValidator(_read_duration), _bounded(0, MAX_PHASE_S), _SCHEMA]
BudgetSeconds = Annotated[int, BeforeValidator(_read_duration), _bounded(1, MAX_PHASE_S), _SCHEMA]
OneLine = Annotated[str, Field(strict=True, max_length=300), AfterValidator(_without_control)]
Title = Annotated[str, Field(strict=True, min_length=1, max_length=120), AfterValidator(_title)]
Notes = Annotated[
    str, Field(strict=True, max_length=5000), AfterValidator(lambda text: _without_control(text, "\n\t\r"))
]
ProblemText = Annotated[
    str, Field(strict=True, max_length=400), AfterValidator(lambda text: _without_control(text, "\n"))
]
ShortLine = Annotated[str, Field(strict=True, max_length=60), AfterValidator(_without_control)]
GroupName = Annotated[str, Field(strict=True, min_length=1, max_length=40), AfterValidator(_listed_name)]
StationName = Annotated[str, Field(strict=True, min_length=1, max_length=40), AfterValidator(_title)]
Id = Annotated[str, Field(strict=True, pattern=r"^[\w][\w.-]*$", max_length=60)]


class FileTable(BaseModel):
    """A table of the file: an unknown key is a problem, never silently dropped."""

    # Built when first used: the tables within a file are only ever checked with the whole of it.
    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)


class BurstTable(FileTable):
    """``[[phase.burst]]``: a partner burst planned for this phase."""

    length: BudgetSeconds = BURST_S
    prompt: OneLine = ""


class PhaseTable(FileTable):
    """``[[phase]]``: only title and budget are needed; the kind gives the rest."""

    id: Id | None = None
    title: Title
    kind: KindName = "other"
    budget: BudgetSeconds
    floor: Seconds | None = None
    cap: BudgetSeconds | None = None
    cap_group: OneLine | None = None
    cut_tier: int | None = Field(None, ge=1, le=9, strict=True)
    movable: Fate | None = None
    talk: TalkMode | None = None
    examples: int | None = Field(None, ge=0, le=20, strict=True)
    class_line: OneLine = ""
    second_line: OneLine = ""
    notes: Notes = ""
    wall: Literal["full", "strip", "off"] | None = None
    problem: ProblemText = ""
    attach: OneLine = ""
    page: int = Field(1, ge=1, le=9999, strict=True)
    burst: list[BurstTable] = Field([], max_length=20)


class BlockTable(FileTable):
    """``[block]``: the workshop block around the mini lesson."""

    minutes: Annotated[int, BeforeValidator(_read_duration), _bounded(300, 8 * 3600), _SCHEMA] = 75 * 60
    mini_lesson: BudgetSeconds | None = None
    move: Seconds = 120
    groups: int | None = Field(None, ge=0, le=MAX_GROUPS, strict=True)
    swap: Seconds = 90
    clean_up: Seconds = 60
    share: Seconds = 300
    share_floor: Seconds | None = None
    visit_floor: BudgetSeconds = VISIT_FLOOR_S
    order: list[GroupName] = Field([], max_length=MAX_GROUPS)
    share_prompt: OneLine = ""
    move_words: ShortLine = ""
    move_picture: OneLine = ""


class GroupTable(FileTable):
    """``[[group]]``: a group of children by a neutral name; never a level."""

    name: GroupName
    place: ShortLine = ""
    picture: OneLine = ""


class StationTable(FileTable):
    """``[[station]]``: where groups work; one of them is the teacher's table."""

    name: StationName
    words: ShortLine = ""
    picture: OneLine = ""
    teacher: bool = Field(False, strict=True)


class OutlineTable(FileTable, title="OutlineFile"):
    """A lesson outline, ``format = 1``: one TOML file per lesson."""

    format: Annotated[Literal[1], BeforeValidator(_no_boolean)]
    title: Title
    subject: OneLine = ""
    unit: OneLine = ""
    table_list: Notes = ""
    block: BlockTable = BlockTable()
    group: list[GroupTable] = Field([], max_length=MAX_GROUPS)
    station: list[StationTable] = Field([], max_length=MAX_GROUPS)
    phase: list[PhaseTable] = Field(min_length=1, max_length=MAX_PHASES)


def json_schema() -> dict[str, Any]:
    """JSON Schema (draft 2020-12) of the outline file, for editors that check while typing."""
    schema = OutlineTable.model_json_schema()
    for table in (schema, *schema["$defs"].values()):
        for key in table["properties"].values():
            # Inside, a default is in seconds; a number in the file would be minutes.
            is_duration = key.get("description") == _DURATION_SCHEMA["description"]
            if is_duration and isinstance(key.get("default"), int):
                key["default"] = format_duration(key["default"])
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}
