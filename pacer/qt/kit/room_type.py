"""The size of a page's letters by its room: on a very large screen that is not scaled 15 pixels are tiny."""

from fractions import Fraction

from PySide6.QtWidgets import QTableView, QWidget

# How large letters are, of their usual size, by the least width of the page in pixels.
TIMES = ((3000, Fraction(7, 4)), (2300, Fraction(4, 3)), (0, Fraction(1)))
_TIMES, _OWN_PX, _OWN_ROWS = "letters_times", "letters_own_px", "rows_own_px"


def suit_type(page: QWidget) -> None:
    """Give all that is on a page letters that suit its width.

    One by one: under a style sheet Qt hands the font of a page on to nothing in it. What comes to the page
    later is given its letters by another call.
    """
    times = next(times for least, times in TIMES if page.width() >= least)
    if times == 1 and not page.property(_TIMES):
        return
    page.setProperty(_TIMES, times)
    others = [each for each in page.findChildren(QWidget) if times != (each.property(_TIMES) or 1)]
    for widget in others:  # all before the first of them changes: a popup follows its parent's letters
        if not widget.property(_OWN_PX):
            widget.setProperty(_OWN_PX, widget.fontInfo().pixelSize())
    for widget in others:
        widget.setProperty(_TIMES, times)
        letters = widget.font()
        letters.setPixelSize(max(1, round(widget.property(_OWN_PX) * times)))
        widget.setFont(letters)
        if isinstance(widget, QTableView):
            rows = widget.verticalHeader()
            own_rows = widget.property(_OWN_ROWS) or rows.defaultSectionSize()
            widget.setProperty(_OWN_ROWS, own_rows)
            rows.setDefaultSectionSize(round(own_rows * times))
