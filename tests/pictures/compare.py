"""Compares two folders of pictures pixel by pixel: ``python tests/pictures/compare.py BEFORE AFTER``."""

import sys
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from PySide6.QtGui import QImage

CHANNELS = 4


@dataclass(frozen=True)
class Difference:
    """What became of a picture. ``largest`` is of one colour channel, 0 to 255; -1 where nothing compares."""

    name: str
    size: str
    pixels: int = 0
    largest: int = 0

    @property
    def is_same(self) -> bool:
        return not self.pixels and not self.largest


def compared(before: Path, after: Path) -> list[Difference]:
    """All pictures of either folder, by name. Raises OSError for a folder or a picture that can't be read."""
    for folder in (before, after):
        if not any(folder.glob("*.png")):
            raise OSError(f"there are no pictures in {folder}")
    names = sorted({path.name for folder in (before, after) for path in folder.glob("*.png")})
    return [_compared(name, before / name, after / name) for name in names]


def _compared(name: str, before: Path, after: Path) -> Difference:
    missing = [path for path in (before, after) if not path.exists()]
    if missing:
        return Difference(name, f"not in {missing[0].parent}", largest=-1)
    one, other = _pixels(before), _pixels(after)
    size = f"{one.shape[1]}x{one.shape[0]}"
    if one.shape != other.shape:
        return Difference(name, f"{size}, then {other.shape[1]}x{other.shape[0]}", largest=-1)
    if np.array_equal(one, other):
        return Difference(name, size)
    apart = np.abs(one.astype(np.int16) - other)
    return Difference(name, size, int(np.count_nonzero(apart.any(axis=2))), int(apart.max()))


def _pixels(path: Path) -> np.ndarray:
    image = QImage(str(path)).convertToFormat(QImage.Format.Format_RGBA8888)
    if image.isNull():
        raise OSError(f"{path} is no picture")
    rows = np.frombuffer(image.constBits(), np.uint8).reshape(image.height(), image.bytesPerLine())
    return rows[:, : image.width() * CHANNELS].reshape(image.height(), image.width(), CHANNELS).copy()


def main(arguments: list[str]) -> int:
    """Print a table. 0: all are the same; 1: some differ; 2: they can't be compared."""
    try:
        before, after = map(Path, arguments)
        found = compared(before, after)
    except (OSError, ValueError) as error:
        print(f"compare.py BEFORE AFTER: {error}", file=sys.stderr)
        return 2
    wide = max(len(each.name) for each in found)
    print(f"{'picture':{wide}}  {'size':>20}  {'pixels':>8}  largest")
    for each in found:
        print(f"{each.name:{wide}}  {each.size:>20}  {each.pixels:8}  {each.largest:7}")
    changed = sum(not each.is_same for each in found)
    print(f"{changed} of {len(found)} differ")
    return int(changed > 0)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
