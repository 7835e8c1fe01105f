"""One thing that the figures or names of a plan say against each other, in plain words."""

from dataclasses import dataclass

KeyPath = tuple[str | int, ...]


@dataclass(frozen=True)
class Finding:
    """One thing about a plan: the rule's name, where its figure stands in the file, and plain words.

    ``impossible``: no lesson can keep it; else it is unwise, or only unusual.
    """

    rule: str
    place: KeyPath
    impossible: bool
    what: str
    fix: str = ""

    @property
    def words(self) -> str:
        """What it is and what to do."""
        return f"{self.what} {self.fix}".rstrip()


def impossible_finding(rule: str, place: KeyPath, what: str, fix: str) -> Finding:
    """What no lesson can keep."""
    return Finding(rule, place, True, what, fix)


def told_finding(rule: str, place: KeyPath, what: str, fix: str = "") -> Finding:
    """What is only told."""
    return Finding(rule, place, False, what, fix)
