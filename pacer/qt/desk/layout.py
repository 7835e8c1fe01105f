"""Where everything on the Desk lies: a far page for three metres, a near page for arm's length."""

from dataclasses import dataclass, replace
from functools import lru_cache

from PySide6.QtCore import QRectF, QSize

from pacer.frames.desk import DeskFrame
from pacer.qt.desk.check_list import Checks
from pacer.qt.desk.far_page import LEVEL_SHARES, DigitCell, FarWords, far_texts, far_words, number_cells
from pacer.qt.desk.marks import DeskText
from pacer.qt.desk.near_page import NearPage, NearWords, near_page
from pacer.qt.kit.type_setting import Cells, clean
from pacer.remember import identity_cache
from pacer.text import _

FAR_SHARE = 0.72


@dataclass(frozen=True)
class DeskLayout:
    """Where everything on the Desk lies. ``notes_cut``: the notes are longer than the near page is high."""

    far: QRectF
    area: QRectF
    texts: tuple[DeskText, ...]
    number: tuple[DigitCell, ...]
    number_cells: Cells | None
    tape: QRectF
    tape_px: int
    notice: QRectF | None
    foot: QRectF
    notes_cut: bool


@identity_cache
def desk_layout(frame: DeskFrame, size: QSize, foot: float = 0) -> DeskLayout:
    """Lay out a frame for a window of a size in logical pixels.

    If ``foot`` is how many pixels are wanted at the foot of the near page for something else, that place
    stays empty, so that whatever is put into it covers nothing.

    Both pages are kept while their words stay the same: from one second to the next only the number moves.
    """
    words = NearWords(
        frame.clock, frame.outlook, frame.near, frame.notes, frame.notice, len(frame.tape)
    )  # fmt: skip
    said = far_words(frame), frame.payers_named, words, frame.checks
    far, texts, near = _pages(said, _("Next"), size.width(), size.height(), foot)
    cells_at, made = number_cells(frame, far)
    return DeskLayout(
        far, filled_area(frame, size), texts, cells_at, made, near.tape, near.tape_px, near.notice,
        near.foot, near.notes_cut,
    )  # fmt: skip


@lru_cache(maxsize=8)
def _pages(
    said: tuple[FarWords, bool, NearWords, Checks], next_label: str, width: int, height: int, foot: float
) -> tuple[QRectF, tuple[DeskText, ...], NearPage]:
    """Both pages but the number: the far page's place, all texts, and where the near page's rest lies."""
    words, payers_named, near, checks = said
    far = QRectF(0, 0, round(width * FAR_SHARE), height)
    texts = far_texts(words, next_label, (far.width(), far.height()))
    near = replace(near, near=(*_whole(words, texts, payers_named=payers_named), *near.near))
    page = near_page(near, checks, (far.right(), 0.0, width - far.width(), float(height)), foot)
    return far, (*texts, *page.texts), page


def _whole(words: FarWords, texts: tuple[DeskText, ...], *, payers_named: bool) -> tuple[str, ...]:
    """What stands shortened on the far page, whole, for the near page; the weightiest first."""
    shown = {text.part: " ".join(text.setting.lines) for text in texts}
    price = f"{shown.get('price_1', '')} {shown.get('price_2', '')}"
    found = []
    title, _word, headline, _short, payers, under, next_title = words
    if clean(headline) != shown.get("headline", ""):
        found.append(headline)
    if not payers_named or not all(clean(payer) in price for payer in payers or (under,)):
        found.append(under)
    if clean(title) != shown.get("title", ""):
        found.append(title)
    if clean(next_title) != shown.get("next", ""):
        found.append(_("Next: {title}", title=next_title))
    return tuple(found)


def filled_area(frame: DeskFrame, size: QSize) -> QRectF:
    """The part of the far page that is filled; its edge lies between two rows."""
    share = LEVEL_SHARES[max(0, min(3, frame.level))]
    top = round(size.height() * (1 - share))
    return QRectF(0, top, round(size.width() * FAR_SHARE), size.height() - top)
