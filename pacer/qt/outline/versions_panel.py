"""Earlier versions of an outline: a list, a look at each, and bringing one back."""

from collections.abc import Sequence
from datetime import datetime

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import QHBoxLayout, QListWidget, QPlainTextEdit, QVBoxLayout, QWidget

from pacer.plan.draft.draft import Draft
from pacer.plan.draft.rewrite_text import with_text
from pacer.plan.draft.write_toml import draft_of
from pacer.qt.kit import theme
from pacer.qt.kit.widgets import button, label, named
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
        self.list = QListWidget()
        named(self.list, _("Earlier versions"))
        self.list.currentRowChanged.connect(self._on_row)
        self.list.itemActivated.connect(self._on_wanted)
        self.look = QPlainTextEdit()
        self.look.setReadOnly(True)
        self.look.setTabChangesFocus(True)
        self.look.setFont(theme.font(16))
        named(self.look, _("What the version says"))
        self.bring = button(_("&Bring this back"), self._on_wanted, tip=_("It can be undone with Ctrl+Z"))
        self.back = button(_("Leave it as it is"), self.left.emit)
        shortcut = QShortcut(QKeySequence("Escape"), self)
        shortcut.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
        shortcut.activated.connect(self.left.emit)
        row = QHBoxLayout()
        row.setSpacing(20)
        row.addWidget(self.list, 2)
        row.addWidget(self.look, 5)
        keys = QHBoxLayout()
        keys.addWidget(self.bring)
        keys.addWidget(self.back)
        keys.addStretch(1)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.addWidget(label(_("Earlier versions"), "large"))
        whole.addLayout(row, 1)
        whole.addLayout(keys)

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
        said = f"{draft.title}\n\n{with_text(draft).text}" if isinstance(draft, Draft) else opened.text
        self.look.setPlainText(said)

    def _on_wanted(self, *_item: object) -> None:
        row = self.list.currentRow()
        if 0 <= row < len(self.versions):
            self.wanted.emit(self.versions[row])
