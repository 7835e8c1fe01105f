"""An outline with a word of its own in every field, so that of each word seen it is known whence it came."""

import re

PHASES = 6
FOUND = re.compile(r"canary-([a-z]+)-?(\d*)")
PUBLIC = {"title", "line", "second", "problem", "prompt"}  # of the running phase
HEAD = """format = 1
title = "canary-lesson"
subject = "canary-subject"
unit = "canary-unit"
table_list = "canary-table"
[block]
minutes = 75
mini_lesson = "{mini}"
groups = 3
"""
PHASE = """[[phase]]
id = "canary-id-{n}"
title = "canary-title-{n}"
kind = "{kind}"
budget = "3"
floor = "1:30"
cut_tier = {tier}
movable = "table"
class_line = "canary-line-{n}"
second_line = "canary-second-{n}"
notes = "canary-notes-{n}"
problem = "canary-problem-{n}"
{more}[[phase.burst]]
length = "0:30"
prompt = "canary-prompt-{n}"
"""


def outline_text(attach: str = "") -> str:
    """The outline as a file; ``attach`` is the name of a picture for its third phase."""
    kinds = ("warm-up", "review", "modeling", "vocabulary", "guided-practice", "look-back")
    parts = [HEAD.format(mini=3 * PHASES)]
    for n, kind in enumerate(kinds, start=1):
        more = f'attach = "{attach}"\n' if attach and n == 3 else ""
        parts.append(PHASE.format(n=n, kind=kind, tier=1 + n % 3, more=more))
    return "".join(parts)


def found_in(text: str) -> set[tuple[str, int]]:
    """The kinds of private words in a text, each with the number of its phase, 0 for the lesson."""
    return {(kind, int(number or 0)) for kind, number in FOUND.findall(text)}


def is_for_the_class(text: str, running: int | None) -> bool:
    """Whether a text of the Wall has only words of the running phase, and the title of the one after it.

    ``running`` counts from 1; None where no phase runs: then the lesson's title and the first phase's lines.
    """
    if running is None:
        return found_in(text) <= {("lesson", 0), ("line", 1), ("second", 1)}
    return found_in(text) <= {*((kind, running) for kind in PUBLIC), ("title", running + 1)}
