"""Earlier versions of an outline: a list, a look at each, and bringing one back."""

from collections.abc import Sequence
from datetime import datetime

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QListWidget, QPlainTextEdit, QWidget

from pacer.plan.draft.draft import Draft
from pacer.plan.draft.rewrite_text import with_text
from pacer.plan.draft.write_toml import draft_of
from pacer.qt.kit import theme
from pacer.qt.kit.rows import STRETCH, column_of, row_of
from pacer.qt.kit.widgets import button, label, named, shortcut
from pacer.settings.draft_store import DraftStore, Failed
from pacer.settings.versions import Version
from pacer.text import _


def when_words(at: datetime, now: datetime) -> str:
    """When something was, on this computer's clock."""
    at, now = at.astimezone(), now.astimezone()
    time = f"{at.hour}:{at.minute:02d}"
    if at.date() == now.date():
        return _("today {time}").format(time=time)
    return _("{day} {time}").format(day=at.strftime("%Y-%m-%d"), time=time)


class VersionsPanel(QWidget):
    """``wanted`` carries the version to bring back; ``left`` comes when nothing is."""

    wanted = Signal(object)
    left = Signal()

    def __init__(self, store: DraftStore) -> None:
        super().__init__()
        self._store = store
        self.versions: Sequence[Version] = ()
        self.list = named(QListWidget(), _("Earlier versions"))
        self.list.currentRowChanged.connect(self._on_row)
        self.list.itemActivated.connect(self._on_wanted)
        self.look = named(QPlainTextEdit(), _("What the version says"))
        self.look.setReadOnly(True)
        self.look.setTabChangesFocus(True)
        self.look.setFont(theme.font(16))
        self.bring = button(_("&Bring this back"), self._on_wanted, tip=_("It can be undone with Ctrl+Z"))
        self.back = button(_("Leave it as it is"), self.left.emit)
        shortcut("Escape", self, self.left.emit)
        sides = row_of((self.list, 2), (self.look, 5), gap=20)
        buttons = row_of(self.bring, self.back, STRETCH)
        column_of(label(_("Earlier versions"), "large"), (sides, 1), buttons, inside=self)

    def show_versions(self, versions: Sequence[Version], now: datetime) -> None:
        """List versions, the newest first."""
        self.versions = versions
        self.list.clear()
        for version in versions:
            self.list.addItem(when_words(version.at, now))
        self.bring.setEnabled(bool(versions))
        if versions:
            self.list.setCurrentRow(0)
            self.list.setFocus()
        else:
            self.look.setPlainText(_("There is no earlier version yet: one is kept at each save."))
            self.back.setFocus()

    def _on_row(self, row: int) -> None:
        if not 0 <= row < len(self.versions):
            return
        opened = self._store.version_text(self.versions[row])
        if isinstance(opened, Failed):
            self.look.setPlainText(opened.words)
            return
        draft = draft_of(opened.text)
        text = f"{draft.title}\n\n{with_text(draft).text}" if isinstance(draft, Draft) else opened.text
        self.look.setPlainText(text)

    def _on_wanted(self, *_item: object) -> None:
        row = self.list.currentRow()
        if 0 <= row < len(self.versions):
            self.wanted.emit(self.versions[row])
