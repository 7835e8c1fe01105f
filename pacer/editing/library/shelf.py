"""What is done with outlines as files: renamed, copied, put away, deleted, mended, and each taken back."""

from pacer.editing.library.away import AwayOutlines
from pacer.editing.library.mend import MendedOutlines
from pacer.editing.library.names import NamedOutlines


class Library(NamedOutlines, AwayOutlines, MendedOutlines):
    """The teacher's folder of outlines, and the folder beside it with those that she put away."""
