"""Where the files that ship with Pacer are, in a checkout and in an installed wheel."""

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent


def _shipped(name: str) -> Path:
    """A folder that the wheel carries inside the package and a checkout keeps beside it."""
    inside = _PACKAGE / "shipped" / name
    return inside if inside.is_dir() else _PACKAGE.parent / name


def resource_folder() -> Path:
    """Icons and translations."""
    return _shipped("resources")


def template_folder() -> Path:
    """The lesson outlines that come with Pacer."""
    return _shipped("lesson_templates")
