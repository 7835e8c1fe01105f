"""An audio output as the teacher chooses it: by the system's id and by its name, both of which must fit."""

import re
from collections.abc import Sequence
from typing import NamedTuple

# A cable that carries a picture ends at the class's screen, so its sound comes from there.
_PICTURE_CABLE = re.compile(r"hdmi|display\s?port|\bdp\b|projector|\btv\b|beamer", re.IGNORECASE)


class Output(NamedTuple):
    """An audio output of this computer: the system's id, and the name that people know it by."""

    id: str
    name: str

    @property
    def may_be_the_class_screen(self) -> bool:
        """Whether its names look like those of a projector or a television."""
        return bool(_PICTURE_CABLE.search(self.name) or _PICTURE_CABLE.search(self.id.replace("_", " ")))


def is_there(chosen: Output, present: Sequence[Output]) -> bool:
    """Whether the chosen output is there now, by id and name; something else in its place is not it."""
    return bool(chosen.id) and chosen in present
