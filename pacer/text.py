"""The one door through which text shown to people passes, so that it can be translated."""

import gettext as _gettext

from pacer.paths import resource_folder

# An empty catalogue stands in where no translation fits, so English needs no file.
_catalogue: _gettext.NullTranslations = _gettext.NullTranslations()


def use_language(languages: list[str] | None = None) -> None:
    """Choose the catalogue; None asks the environment (LANGUAGE, LC_ALL, LC_MESSAGES, LANG)."""
    global _catalogue
    _catalogue = _gettext.translation("pacer", resource_folder() / "translations", languages, fallback=True)


def use_catalogue(catalogue: _gettext.NullTranslations) -> None:
    """Install a ready catalogue; layout tests use one that stretches every string."""
    global _catalogue
    _catalogue = catalogue


def _(message: str, /, **values: object) -> str:
    """The message in the teacher's language, with ``values`` in its places; without any, as it stands."""
    words = _catalogue.gettext(message) if message else ""
    return words.format(**values) if values else words


def ngettext(one: str, many: str, count: int) -> str:
    """The singular or plural message for a count, in the teacher's language."""
    return _catalogue.ngettext(one, many, count)


def counted(one: str, many: str, count: int, **values: object) -> str:
    """The same with the count as ``{n}`` and ``values`` in its other places."""
    return ngettext(one, many, count).format(n=count, **values)


def N_(message: str) -> str:  # noqa: N802 - the name that gettext's own tools look for
    """Mark a message for translation where it is written, to be translated where it is shown."""
    return message
