"""Fields that change a setting as soon as they are changed."""

from collections.abc import Callable
from typing import Any

from PySide6.QtCore import SignalInstance
from PySide6.QtWidgets import QCheckBox

from pacer.settings.store import SettingsStore


def keep(
    changed: SignalInstance, settings: SettingsStore, name: str, of: Callable[[Any], object] | None = None
) -> None:
    """Change a setting to each value that a signal carries, or to what ``of`` makes of it."""
    changed.connect(lambda value: settings.change(**{name: value if of is None else of(value)}))


def setting_box(settings: SettingsStore, name: str, words: str, tip: str = "") -> QCheckBox:
    """A box that is ticked as a setting says, and changes it; ``tip`` goes to screen readers."""
    box = QCheckBox(words)
    box.setChecked(bool(getattr(settings.now, name)))
    box.setAccessibleDescription(tip)
    keep(box.toggled, settings, name)
    return box
