"""How high the capitals of each text are on the Wall: what the back row reads, measured as it is painted."""

from collections.abc import Mapping
from functools import lru_cache

from PySide6.QtCore import QSize

from pacer.frames.wall import WallFrame
from pacer.qt.kit.type_setting import is_whole
from pacer.qt.wall.layout import wall_layout


@lru_cache(maxsize=512)
def capital_shares(frame: WallFrame, size: tuple[int, int]) -> Mapping[str, float]:
    """The height of each text's capitals over the picture's, by what the text is; ``size`` is the picture's.

    A text of which a word is missing has 0, and one that is not shown is not there. Of a problem the smallest
    line counts.
    """
    shares: dict[str, float] = {}
    said = {"line": frame.line or frame.prompt, "second": frame.second_line}
    for part, words in wall_layout(frame, QSize(*size)).words.items():
        name, setting = part.partition(" ")[0], words.setting
        share = setting.cap_height / size[1]
        if setting.elided or (part in said and not is_whole(setting, said[part])):
            share = 0.0
        shares[name] = min(share, shares.get(name, share))
    return shares
