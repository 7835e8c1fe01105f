"""Spares a start what Qt's binding and pydantic do for features that Pacer does not use."""

import os
import sys
from contextlib import suppress
from importlib import import_module
from types import ModuleType

_LOADER = "pydantic.plugin._loader"
_SEEN = "2.12.", "2.13.", "2.14."  # versions whose loader was read: it is asked for plugins and nothing else


def leave_sources_unread() -> None:
    """Keep the binding from reading the source of every module that is imported from now on.

    It looks there for its own name, as ``__feature__`` may be switched on module by module, and Python then
    keeps what was read: 12 MiB in a lesson. What is replaced is private there: where it has another name,
    sources are read as before, and nothing breaks.
    """
    with suppress(ImportError):
        import PySide6  # noqa: F401 - brings what it supports Python with
        from shibokensupport import feature  # type: ignore[import-not-found]

        feature._mod_uses_pyside = _switches_nothing


def _switches_nothing(_module: object) -> bool:
    return False


def leave_plugins_unsought() -> None:
    """Switch pydantic's plugins off, and keep it from importing what it would look for them with.

    Before its loader sees that there are to be none, it has imported what reads the metadata of packages, and
    with that e-mail and sockets: a twentieth of a start. What is replaced is private there: with a version
    that was not looked into, all of that is imported as before, and nothing breaks.
    """
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
    from pydantic.version import VERSION

    if not VERSION.startswith(_SEEN):
        return
    stand_in = _NoPlugins(_LOADER)
    vars(stand_in).update(get_plugins=tuple)  # which pydantic calls, and gets none
    sys.modules.setdefault(_LOADER, stand_in)


class _NoPlugins(ModuleType):
    """Stands in for pydantic's loader of plugins."""

    def __getattr__(self, name: str) -> object:
        """Let the loader itself answer whatever else is asked of it."""
        if name.startswith("__"):
            raise AttributeError(name)
        sys.modules.pop(_LOADER, None)
        return getattr(import_module(_LOADER), name)
