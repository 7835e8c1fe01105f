"""Puts paragraphs, lists and tables together as lines that the typed reader takes."""

import re

from pacer.plan.taken.taken import MOST_CELLS, MOST_SIGNS, too_many_cells, too_many_lines, too_much_text
from pacer.plan.typed.read_typed import MOST_LINES

INDENT = "    "
MOST_NESTED = 9
MOST_SPAN = 40  # columns: a cell that claims more is one of a page's layout
_BETWEEN = "; "
_STRUCK_TWICE = re.compile(r"~~(\s*)~~")
_BLANKS = re.compile(r"[ \t\r\f\v\u00a0]+")


class Lines:
    """Lines as they come; raises NotTakenError as soon as they are more than a lesson has."""

    def __init__(self) -> None:
        self.lines: list[str] = []
        self._cells = self._signs = 0

    def add(self, text: str, level: int = 0, mark: str = "") -> None:
        """A paragraph, of a list with its mark and its level; each of its own line breaks is a line."""
        first, *more = text.split("\n")
        indent = INDENT * min(level, MOST_NESTED)
        self._put(f"{indent}{mark} {first}" if mark else f"{indent}{first}")
        for line in more:
            self._put(f"{indent}{INDENT if mark else ''}{line}")

    def add_rows(self, rows: list[list[list[str]]]) -> None:
        """A table: rows of cells of paragraphs. One of a single column is no table but a frame."""
        if max((len(row) for row in rows), default=0) < 2:
            for row in rows:
                for paragraph in (text for cell in row for text in cell):
                    self.add(paragraph)
            return
        # The reader takes each run of rows as one table: a blank line keeps two tables apart.
        self._put("")
        for row in rows:
            self._cells += len(row)
            if self._cells > MOST_CELLS:
                raise too_many_cells()
            # A cell may stand there many times, and is weighed before it is written as often.
            self._weigh(sum(len(text) for cell in row for text in cell))
            self._put("\t".join(cell_text(cell) for cell in row))
        self._put("")

    def _put(self, line: str) -> None:
        self.lines.append(line)
        self._signs += len(line)
        self._weigh(0)
        if len(self.lines) > 2 * MOST_LINES:  # many may be blank, which are put together later
            raise too_many_lines()

    def _weigh(self, more: int) -> None:
        if self._signs + more > MOST_SIGNS:
            raise too_much_text()

    @property
    def text(self) -> str:
        """All lines."""
        return "\n".join(self.lines)


def cell_text(paragraphs: list[str]) -> str:
    """A cell on one line without tabs, which stand between cells."""
    lines = [tight(line) for paragraph in paragraphs for line in paragraph.split("\n")]
    return _BETWEEN.join(line for line in lines if line)


def tight(text: str) -> str:
    """Runs of blanks as one, none at the ends."""
    return _BLANKS.sub(" ", text).strip()


def struck(text: str) -> str:
    """Text that was struck out, marked as such: the teacher sees it and decides."""
    bare = text.strip()
    if not bare:
        return text
    before, after = text[: len(text) - len(text.lstrip())], text[len(text.rstrip()) :]
    return f"{before}~~{bare}~~{after}"


def joined_struck(text: str) -> str:
    """Struck-out runs that follow each other as one."""
    return _STRUCK_TWICE.sub(r"\1", text) if "~~" in text else text
