"""One save of an outline as a value: what is saved, where it goes, and how a new outline gets its name."""

import re
import unicodedata
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from pacer.plan.draft.draft import Draft
from pacer.plan.draft.with_text import TypedDraft
from pacer.plan.problems import Problem
from pacer.settings.draft_store import Conflict, DraftStore, Failed, Saved, stamp_of
from pacer.text import _


@dataclass(frozen=True)
class Task:
    """One save under way: what it saves, and from where a renamed outline comes."""

    path: Path
    draft: Draft
    base: str
    text: str
    stamp: str
    left: Path | None = None
    left_stamp: str = ""


def file_stem(title: str) -> str:
    """A file name for a title: small letters, figures and dashes."""
    folded = unicodedata.normalize("NFKD", title).encode("ascii", "ignore").decode().lower()
    return re.sub(r"[^a-z0-9]+", "-", folded).strip("-")[:60].strip("-") or "outline"


def put(store: DraftStore, task: Task) -> Saved | Conflict | Failed:
    """Save; a new outline with another title leaves its earlier name if nobody else changed the file."""
    result = store.save(task.path, task.text, task.stamp)
    if isinstance(result, Saved) and task.left is not None:
        store.forget(task.left)
        with suppress(OSError):
            if stamp_of(task.left.read_bytes()) == task.left_stamp:
                task.left.unlink()
    return result


def plain_of(draft: Draft) -> Draft:
    """A draft without the text beside it."""
    return draft.plain if isinstance(draft, TypedDraft) else draft


def problem_words(path: Path, problems: list[Problem]) -> str:
    """Why a file can't be edited as an outline, in plain words."""
    from pacer.frames.words.broken import words_about  # few files are broken

    if not problems:
        return _("{file} can't be edited here: it is not an outline.", file=path.name)
    why = words_about(path) or problems[0]
    return _("{file} can't be edited here. {why}", file=path.name, why=why)
