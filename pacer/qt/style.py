"""The look of ordinary widgets: a small style sheet in the colours of the theme."""

from PySide6.QtGui import QColor, QPalette
from PySide6.QtWidgets import QApplication

from pacer.paths import resource_folder
from pacer.qt import theme

_SHEET = """
QWidget {{ background: {paper}; color: {ink}; }}
QLabel[role="quiet"] {{ color: {secondary}; }}
QLabel[role="notice"] {{ background: {sand}; border: 2px solid {ink}; border-radius: 6px; padding: 10px; }}
QPushButton, QToolButton {{
  background: {paper}; border: 2px solid {outline}; border-radius: 8px;
  padding: 8px 18px; min-height: 24px;
}}
QPushButton:hover, QToolButton:hover {{ background: {closing}; }}
QPushButton:focus, QToolButton:focus {{ border: 3px solid {ink}; padding: 7px 17px; }}
QPushButton:disabled {{ color: {outline}; border-color: {rule}; }}
QPushButton[role="start"] {{
  background: {square}; color: {paper}; font-size: 28px; border-color: {square}; padding: 14px 44px;
}}
QPushButton[role="start"]:focus {{ border: 3px solid {ink}; padding: 13px 43px; }}
QPushButton[role="start"]:disabled {{ background: {rule}; color: {secondary}; border-color: {rule}; }}
QToolButton[role="page"] {{
  font-size: 18px; border-color: transparent; border-radius: 0; padding: 8px 16px;
}}
QToolButton[role="page"]:checked {{ border-bottom: 4px solid {square}; }}
QToolButton[role="page"]:focus {{ border: 3px solid {ink}; border-radius: 8px; }}
QListWidget, QTableWidget, QPlainTextEdit {{
  border: 1px solid {outline}; border-radius: 6px; outline: 0;
  selection-background-color: {closing}; selection-color: {ink};
}}
QListWidget::item {{ padding: 7px 8px; border-left: 4px solid transparent; }}
QListWidget::item:selected {{ background: {closing}; color: {ink}; border-left: 4px solid {square}; }}
QListWidget:focus, QTableWidget:focus {{ border: 3px solid {ink}; }}
QHeaderView::section {{
  background: {paper}; color: {secondary}; border: 0; border-bottom: 1px solid {outline}; padding: 6px 10px;
}}
QTableWidget::item {{ padding: 0 10px; }}
QTableWidget::item:selected {{ background: {closing}; color: {ink}; }}
QScrollBar:vertical {{ background: transparent; width: 14px; margin: 0; }}
QScrollBar:horizontal {{ background: transparent; height: 14px; margin: 0; }}
QScrollBar::handle {{
  background: {outline}; border-radius: 4px; margin: 3px; min-height: 32px; min-width: 32px;
}}
QScrollBar::add-line, QScrollBar::sub-line {{ width: 0; height: 0; }}
QScrollBar::add-page, QScrollBar::sub-page {{ background: transparent; }}
QSpinBox {{ border: 2px solid {outline}; border-radius: 6px; padding: 4px; min-width: 88px; }}
QSpinBox:focus {{ border-color: {ink}; }}
QSpinBox::up-button, QSpinBox::down-button {{ width: 0; height: 0; border: 0; }}
QTimeEdit {{ border: 2px solid {outline}; border-radius: 6px; padding: 4px 8px; font-size: 20px; }}
QTimeEdit:focus {{ border-color: {ink}; }}
QTimeEdit::up-button, QTimeEdit::down-button {{ width: 0; height: 0; border: 0; }}
QCheckBox {{ spacing: 8px; padding: 4px; border: 2px solid transparent; border-radius: 6px; }}
QCheckBox:focus {{ border-color: {ink}; }}
QCheckBox::indicator {{ width: 18px; height: 18px; border: 2px solid {outline}; border-radius: 4px; }}
QCheckBox::indicator:checked {{ background: {square}; border-color: {square}; image: url("{tick}"); }}
"""


def dress(application: QApplication) -> None:
    """Give the application Lexend, the palette and the sheet. The style is the same on every platform."""
    application.setStyle("Fusion")
    palette = QPalette(theme.PAPER)
    for role, colour in (
        (QPalette.ColorRole.Window, theme.PAPER),
        (QPalette.ColorRole.Base, theme.PAPER),
        (QPalette.ColorRole.AlternateBase, theme.PAPER),
        (QPalette.ColorRole.Text, theme.INK),
        (QPalette.ColorRole.WindowText, theme.INK),
        (QPalette.ColorRole.ButtonText, theme.INK),
        (QPalette.ColorRole.Button, theme.PAPER),
        (QPalette.ColorRole.Highlight, theme.CLOSING),
        (QPalette.ColorRole.HighlightedText, theme.INK),
        (QPalette.ColorRole.PlaceholderText, theme.SECONDARY),
    ):
        palette.setColor(role, colour)
    application.setPalette(palette)
    application.setFont(theme.font(15))
    tick = (resource_folder() / "tick.svg").as_posix()
    application.setStyleSheet(_SHEET.format(tick=tick, **_named_colours()))


def _named_colours() -> dict[str, str]:
    named = {name.lower(): colour for name, colour in vars(theme).items() if isinstance(colour, QColor)}
    return {name: colour.name() for name, colour in named.items()}
