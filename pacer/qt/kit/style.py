"""The look of ordinary widgets: a small style sheet in the colours of the theme, marked as private."""

from fractions import Fraction
from functools import cache

from PySide6.QtGui import QColor, QPalette
from PySide6.QtWidgets import QApplication, QTableView, QToolTip, QWidget

from pacer.paths import resource_folder
from pacer.qt.kit import theme

# How large letters are, of their usual size, by the least width of the page in pixels.
TIMES = ((3000, Fraction(7, 4)), (2300, Fraction(4, 3)), (0, Fraction(1)))
_TIMES, _OWN_PX, _OWN_ROWS = "letters_times", "letters_own_px", "rows_own_px"

_SHEET = """
QWidget {{ background: {desk_paper}; color: {desk_ink}; }}
Curtain, Curtain QLabel {{ background: {paper}; color: {ink}; }}
QLabel[role="quiet"] {{ color: {secondary}; }}
QLabel[role="notice"] {{
  background: {sand}; border: 2px solid {desk_ink}; border-radius: 6px; padding: 10px;
}}
QPushButton, QToolButton {{
  background: {desk_paper}; border: 2px solid {outline}; border-radius: 8px;
  padding: 8px 18px; min-height: 24px;
}}
QPushButton, QToolButton, QCheckBox, QRadioButton {{ outline: 0; }}
QPushButton:hover, QToolButton:hover {{ background: {closing}; }}
QPushButton:focus, QToolButton:focus {{ border: 3px solid {desk_ink}; padding: 7px 17px; }}
QPushButton:disabled {{ color: {outline}; border-color: {rule}; }}
QFileDialog QToolButton {{ padding: 2px; }}
QPushButton[role="start"] {{
  background: {square}; color: {desk_paper}; font-size: 28px; border-color: {square}; padding: 14px 44px;
}}
QPushButton[role="start"]:focus {{ border: 3px solid {desk_ink}; padding: 13px 43px; }}
QPushButton[role="start"]:disabled {{ background: {rule}; color: {secondary}; border-color: {rule}; }}
QToolButton[role="page"] {{
  font-size: 18px; border-color: transparent; border-radius: 0; padding: 8px 10px;
}}
QToolButton[role="page"]:checked {{ border-bottom: 4px solid {square}; }}
QToolButton[role="page"]:focus {{ border: 3px solid {desk_ink}; border-radius: 8px; }}
QToolButton[role="part"] {{ border-color: transparent; border-radius: 0; padding: 6px 6px; }}
QToolButton[role="part"]:checked {{ border-bottom: 4px solid {square}; }}
QToolButton[role="part"]:focus {{ border: 3px solid {desk_ink}; border-radius: 8px; }}
QListWidget, LessonList, QTableWidget, QPlainTextEdit {{
  border: 1px solid {outline}; border-radius: 6px; outline: 0; padding: 2px;
  selection-background-color: {closing}; selection-color: {desk_ink};
}}
QListWidget::item, LessonList::item {{ padding: 7px 8px; border-left: 4px solid transparent; }}
QListWidget::item:selected, LessonList::item:selected {{
  background: {closing}; color: {desk_ink}; border-left: 4px solid {square};
}}
QListWidget:focus, LessonList:focus, QTableWidget:focus {{ border: 3px solid {desk_ink}; padding: 0; }}
QPlainTextEdit:focus {{ border: 2px solid {desk_ink}; padding: 1px; }}
QDialogButtonBox {{ dialogbuttonbox-buttons-have-icons: 0; }}
QMenu {{ border: 1px solid {outline}; padding: 4px; }}
QMenu::item {{ padding: 6px 22px; }}
QMenu::item:selected {{ background: {closing}; color: {desk_ink}; }}
QMenu::item:disabled {{ color: {secondary}; }}
QHeaderView::section {{
  background: {desk_paper}; color: {secondary}; padding: 6px 13px;
  border: 0; border-bottom: 1px solid {outline};
}}
QTableWidget::item {{ padding: 0 10px; }}
QTableWidget::item:selected {{ background: {closing}; color: {desk_ink}; }}
QScrollBar:vertical {{ background: transparent; width: 14px; margin: 0; }}
QScrollBar:horizontal {{ background: transparent; height: 14px; margin: 0; }}
QScrollBar::handle {{
  background: {outline}; border-radius: 4px; margin: 3px; min-height: 32px; min-width: 32px;
}}
QScrollBar::add-line, QScrollBar::sub-line {{ width: 0; height: 0; }}
QScrollBar::add-page, QScrollBar::sub-page {{ background: transparent; }}
QSpinBox, QDoubleSpinBox, QTimeEdit {{ border: 2px solid {outline}; border-radius: 6px; padding: 4px; }}
QSpinBox {{ min-width: 88px; }}
QTimeEdit {{ padding: 4px 8px; font-size: 20px; }}
QSpinBox::up-button, QSpinBox::down-button, QDoubleSpinBox::up-button, QDoubleSpinBox::down-button,
QTimeEdit::up-button, QTimeEdit::down-button {{ width: 0; height: 0; border: 0; }}
QComboBox, QLineEdit, QDateEdit {{
  border: 2px solid {outline}; border-radius: 6px; padding: 3px 8px; min-height: 24px;
}}
QSpinBox:focus, QDoubleSpinBox:focus, QTimeEdit:focus, QComboBox:focus, QLineEdit:focus, QDateEdit:focus,
QCheckBox:focus, QRadioButton:focus {{ border-color: {desk_ink}; }}
QSpinBox QLineEdit, QDoubleSpinBox QLineEdit, QTimeEdit QLineEdit, QDateEdit QLineEdit, QComboBox QLineEdit {{
  border: 0; padding: 0; min-height: 0;
}}
QComboBox::drop-down, QDateEdit::drop-down {{ border: 0; width: 26px; }}
QComboBox::down-arrow, QDateEdit::down-arrow {{ image: url("{down}"); width: 12px; height: 8px; }}
QCheckBox, QRadioButton {{
  spacing: 8px; padding: 4px; border: 2px solid transparent; border-radius: 6px;
}}
QCheckBox::indicator {{ width: 18px; height: 18px; border: 2px solid {outline}; border-radius: 4px; }}
QCheckBox::indicator:checked {{ background: {square}; border-color: {square}; image: url("{tick}"); }}
QSpinBox QLineEdit {{ placeholder-text-color: {secondary}; }}
QSpinBox:disabled {{ color: {secondary}; border-color: {rule}; }}
QRadioButton::indicator {{ width: 18px; height: 18px; border: 2px solid {outline}; border-radius: 11px; }}
QRadioButton::indicator:checked {{
  border: 7px solid {square}; width: 8px; height: 8px; background: {desk_paper};
}}
QPushButton[role="chip"] {{ padding: 3px 12px; min-height: 20px; border-radius: 15px; }}
QPushButton[role="chip"]:focus {{ padding: 2px 11px; border: 3px solid {desk_ink}; }}
QPushButton[role="chip"]:checked {{ background: {square}; color: {desk_paper}; border-color: {square}; }}
QPushButton[role="chip"]:checked:focus {{ border-color: {desk_ink}; }}
QPushButton[role="small"] {{ padding: 3px 12px; min-height: 22px; border-width: 1px; }}
QPushButton[role="small"]:focus {{ padding: 2px 11px; border-width: 2px; }}
QPushButton[role="small"]:checked {{ background: {closing}; }}
QPushButton[role="small"]::menu-indicator {{ subcontrol-position: right center; right: 4px; }}
QPushButton[role="cell"] {{ padding: 0 14px; margin: 2px 4px; min-height: 18px; border-width: 1px; }}
QPushButton[role="remove"] {{ padding: 2px 10px; }}
QToolButton[role="remove"] {{ padding: 2px 8px; min-height: 16px; border-width: 1px; }}
QPushButton[role="way"] {{ padding: 0; border: 2px solid {outline}; border-radius: 12px; }}
QPushButton[role="way"]:focus {{ border: 4px solid {desk_ink}; padding: 0; }}
WayCard QLabel, WayCard SmallPicture {{ background: transparent; }}
QPushButton[role="view"]:checked {{ background: {closing}; border-bottom: 4px solid {square}; }}
DayColumn {{
  border: 1px solid {rule}; border-top: 4px solid {rule}; border-radius: 6px; padding: 2px 1px 1px 1px;
}}
DayColumn[marked="true"] {{ border: 2px solid {outline}; border-top: 6px solid {square}; padding: 0; }}
DayList {{ border: 1px solid transparent; border-radius: 4px; }}
DayList:focus {{ border: 3px solid {desk_ink}; padding: 0; }}
DayList::item, DayList::item:selected {{ padding: 5px 4px; border-left: 4px solid transparent; }}
FateList[target="true"], DayList[target="true"] {{
  padding: 0; border: 3px dashed {desk_ink}; background: {closing};
}}
SplitPage QSpinBox {{ min-width: 64px; }}
RowsTable::item {{ padding: 0 8px; }}
RowsTable QHeaderView::section {{ padding: 6px 11px; }}
RowsTable QLineEdit {{ border-radius: 0; padding: 0 5px; min-height: 0; }}
RepairPanel QLabel[role="notice"] {{ padding: 4px 8px; }}
ReadyPanel QLineEdit {{ padding: 6px; min-height: 26px; }}
DayShapesDialog QLineEdit {{ padding: 3px 6px; min-height: 22px; }}
DayShapesDialog QSpinBox QLineEdit, DayShapesDialog QDateEdit QLineEdit {{ padding: 0; min-height: 0; }}
"""


def dress(application: QApplication) -> None:
    """Give the application Lexend and the palette. The style is the same on every platform."""
    application.setStyle("Fusion")
    palette = QPalette(theme.DESK_PAPER)
    for role, colour in (
        (QPalette.ColorRole.Window, theme.DESK_PAPER),
        (QPalette.ColorRole.Base, theme.DESK_PAPER),
        (QPalette.ColorRole.AlternateBase, theme.DESK_PAPER),
        (QPalette.ColorRole.Text, theme.DESK_INK),
        (QPalette.ColorRole.WindowText, theme.DESK_INK),
        (QPalette.ColorRole.ButtonText, theme.DESK_INK),
        (QPalette.ColorRole.Button, theme.DESK_PAPER),
        (QPalette.ColorRole.Highlight, theme.CLOSING),
        (QPalette.ColorRole.HighlightedText, theme.DESK_INK),
        (QPalette.ColorRole.PlaceholderText, theme.SECONDARY),
        (QPalette.ColorRole.ToolTipBase, theme.DESK_PAPER),
        (QPalette.ColorRole.ToolTipText, theme.DESK_INK),
    ):
        palette.setColor(role, colour)
    application.setPalette(palette)
    QToolTip.setPalette(palette)
    application.setFont(theme.font(15))


def wear(window: QWidget) -> None:
    """Give a window the sheet; what is in it, and its dialogs, have it from there.

    Not the application: once that has a sheet, Qt styles all that is below a widget anew whenever that is
    put into another one, and pages are put together from the inside out. A window, or a part with a sheet of
    its own, gets it when it is whole.
    """
    window.setStyleSheet(_sheet())


@cache
def _sheet() -> str:
    tick, down = ((resource_folder() / name).as_posix() for name in ("tick.svg", "down.svg"))
    return coloured(_SHEET, tick=tick, down=down)


def coloured(sheet: str, **more: str) -> str:
    """A style sheet with the theme's colours, and ``more``, put in for their names: ``{desk_ink}``."""
    colours = {name.lower(): value.name() for name, value in vars(theme).items() if isinstance(value, QColor)}
    return sheet.format(**colours, **more)


def suit_type(page: QWidget) -> None:
    """Give all that is on a page letters that suit its width.

    One by one: under a style sheet Qt hands the font of a page on to nothing in it. What comes to the page
    later is given its letters by another call.
    """
    times = next(times for least, times in TIMES if page.width() >= least)
    if times == 1 and not page.property(_TIMES):
        return
    page.setProperty(_TIMES, times)
    for widget in page.findChildren(QWidget):
        if times == (widget.property(_TIMES) or 1):
            continue
        widget.setProperty(_TIMES, times)
        own_px = widget.property(_OWN_PX) or widget.fontInfo().pixelSize()
        widget.setProperty(_OWN_PX, own_px)
        letters = widget.font()
        letters.setPixelSize(max(1, round(own_px * times)))
        widget.setFont(letters)
        if isinstance(widget, QTableView):
            rows = widget.verticalHeader()
            own_rows = widget.property(_OWN_ROWS) or rows.defaultSectionSize()
            widget.setProperty(_OWN_ROWS, own_rows)
            rows.setDefaultSectionSize(round(own_rows * times))
