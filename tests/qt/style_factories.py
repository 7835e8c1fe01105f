"""The program's looks for an application that a test has made without them."""

from PySide6.QtWidgets import QApplication

from pacer.qt.kit import style


def dress(application: QApplication) -> None:
    """Give it Qt's own style, which a start names among Qt's arguments, and what the program adds."""
    application.setStyle(style.STYLE)
    style.dress(application)
