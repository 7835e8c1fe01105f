"""Plain words for what is wrong with a text as TOML: where it is, and what to do next."""

import re
import tomllib

from pacer.plan.file.toml_places import Opened, places_in
from pacer.text import N_, _

LineWhatFix = tuple[int, str, str]  # the line, what is wrong, what to do next

_WHERE = re.compile(r"\s*\(at (?:line (\d+), column \d+|end of document)\)$")
_CURLY = re.compile("[\u201c\u201d\u201e\u201f\u00ab\u00bb\u2018\u2019\u2032\u2033]")
_BARE_TIME = re.compile(r"=\s*\d{1,4}:\d\d")
_ONE_KEY = N_('Write one key a line: title = "Review"')
_QUOTES = N_('Text stands in "quotes", numbers without.')
# How the reader's own sentences begin, with ours in their place. Where none fits, the last does.
_SENTENCES: tuple[tuple[str, str, str], ...] = (
    ("Cannot overwrite a value", N_("This key was written before."), N_("Leave one of the two.")),
    ("Duplicate inline table key", N_("This key was written before."), N_("Leave one of the two.")),
    ("Cannot declare", N_("This table was begun before."), N_("Leave one heading; a list has [[two]].")),
    ("Cannot mutate", N_("This table was begun before, in another way."), N_("Write it in one way only.")),
    ("Cannot redefine", N_("This table was begun before, in another way."), N_("Write it in one way only.")),
    ("Expected ']'", N_("The heading of a table is not closed."), N_("Write [block] or [[phase]].")),
    ("Expected ']]'", N_("The heading of a table is not closed."), N_("Write [block] or [[phase]].")),
    ("Expected '=' after a key", N_("There is no = after the key."), _ONE_KEY),
    (
        "Expected newline",
        N_("Something stands behind the value."),
        N_("One key a line; a comment begins with #."),
    ),
    ("Invalid initial character", N_("A key is missing before or after a sign."), _ONE_KEY),
    ("Invalid statement", N_("The line is neither a key, a [table] nor a # comment."), _ONE_KEY),
    (
        "Unescaped",
        N_("A single \\ stands in the text."),
        N_("Write \\\\ for each \\."),
    ),
    ("Invalid hex", N_("\\u and \\x need the number of a character."), N_("Write \\\\ for a plain \\.")),
    ("Escaped character", N_("\\u names no character."), N_("Write \\\\ for a plain \\.")),
    ("Hex value", N_("\\u and \\x need the number of a character."), N_("Write \\\\ for a plain \\.")),
    (
        "Found invalid character",
        N_("The line holds a character that can't be seen."),
        N_("Type the line anew."),
    ),
    ("Invalid date", N_("This is no date or time of day."), N_('A time in minutes is "2:30", in quotes.')),
    ("Invalid value", N_("The value can't be read."), _QUOTES),
)
_OPEN = {
    "[": (N_("The list that begins here with [ is not closed."), N_("Write ] behind its last entry.")),
    "{": (N_("What begins here with {{ is not closed."), N_("Write }} behind it, in the same line.")),
}


def toml_words(error: tomllib.TOMLDecodeError, text: str) -> LineWhatFix:
    """What the reader of TOML found, in plain words. ``text`` is what it read."""
    said = str(error)
    match = _WHERE.search(said)
    line = int(match[1]) if match and match[1] else text.rstrip().count("\n") + 1
    said = said[: match.start()] if match else said
    places = places_in(text)
    opened = places.still_open
    # What is never closed swallows all below it: where it begins is what must be mended.
    if opened is not None and opened.line <= line and _is_cause(opened, said):
        return (opened.line, *_open_words(opened))
    if said.startswith("""Expected "'\""""):  # no other ' follows, so the last one begins the text
        line = text[: text.rindex("'")].count("\n") + 1
        return line, _("The text is not closed in its line."), _("Write {quotes} at its end.", quotes="'")
    if said.startswith(("Illegal character", "Unterminated string")):
        return line, *_cut_words(said)
    written = text.split("\n")[line - 1 : line]
    if written and _CURLY.search(written[0]):
        return line, _("The quotes are not straight ones."), _('Write "text", with the " of the keyboard.')
    if written and _BARE_TIME.search(written[0]):
        return line, _("A time with a colon stands in quotes."), _('Write "2:30".')
    what, fix = next(
        ((what, fix) for begin, what, fix in _SENTENCES if said.startswith(begin)),
        (N_("This is not valid TOML."), _ONE_KEY),
    )
    begun = next((first for first, last in places.long_texts if last == line), None)
    if begun is not None:
        where = _("The text that begins in line {line} with three quotes ends here.", line=begun)
        return line, f"{_(what)} {where}", _(fix)
    return line, _(what), _(fix)


def _is_cause(opened: Opened, said: str) -> bool:
    """Whether what is still open explains the fault: quotes always do, a bracket in a list's own fault."""
    return len(opened.sign) == 3 or said.startswith(
        ("Unclosed", "Invalid value", "Unterminated", "Invalid init")
    )


def _open_words(opened: Opened) -> tuple[str, str]:
    if len(opened.sign) == 3:
        what = _("The text that begins here with {quotes} is not closed.", quotes=opened.sign)
        return what, _("Write {quotes} at its end.", quotes=opened.sign)
    what, fix = _OPEN[opened.sign]
    return _(what).replace("{{", "{"), _(fix).replace("}}", "}")


def _cut_words(said: str) -> tuple[str, str]:
    """A text in quotes that its line cuts off, or that holds what can't be seen."""
    if said.startswith("Unterminated") or said.endswith(("'\\n'", "'\\r'")):
        return _("The text is not closed in its line."), _('Write " at its end.')
    return _("The text holds a character that can't be seen."), _("Type the line anew.")
