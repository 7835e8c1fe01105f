"""Spares a start what Qt's binding does for a feature that Pacer does not use."""

from contextlib import suppress


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
