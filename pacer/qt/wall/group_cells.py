"""Groups on the Wall as cells of a grid: a sign, a name, and where the group is or, after an arrow, goes."""

from functools import lru_cache
from math import floor

from pacer.frames.wall import GroupPlace
from pacer.qt.kit.type_setting import Align, Setting, fit
from pacer.qt.wall.group_grid import (
    ARROW,
    GAP,
    NAME_WEIGHT,
    PLACE_WEIGHT,
    Grid,
    arrow_width,
    gap_of,
    grid_of,
    row_gap,
    row_of_signs,
)
from pacer.qt.wall.marks import Box, Mark, Sign, Words, around


@lru_cache(maxsize=16)
def cell_marks(groups: tuple[GroupPlace, ...], box: Box, unit: float, least: int) -> tuple[Mark, ...]:
    """All groups in a box, row by row from the upper left."""
    if not groups:
        return ()
    grid = grid_of(groups, box.width, box.height, unit, least)
    marks: list[Mark] = []
    for number, group in enumerate(groups):
        row, column = divmod(number, grid.columns)
        x = box.x + column * (grid.width + GAP * unit)
        y = box.y + row * (grid.height + row_gap(grid.above, unit))
        marks += _cell(group, number + 1, grid, x, y)
    return tuple(marks)


def _cell(group: GroupPlace, number: int, grid: Grid, x: float, y: float) -> list[Mark]:
    name, goes = (_name(group.name, grid) if grid.words.name_lines else None), bool(group.goes_to)
    place = _place(group.goes_to or group.place, grid)
    arrow = arrow_width(place.px) if goes else 0
    # As if all words were as many lines: signs stand in a row, and a name stays when its place changes.
    # A place alone stands in the middle beside its sign, for no name would move with it.
    high = place.height if name is None else max(grid.words.height, name.height + place.height)
    between, wide = gap_of(grid.sign) if grid.signs else 0, row_of_signs(grid.sign, grid.signs)
    if grid.above:
        top = y + max(0.0, (grid.height - grid.sign - between - max(high, grid.words.height)) / 2)
        sign = Box(floor(x + (grid.width - wide) / 2), floor(top), grid.sign, grid.sign)
        top += grid.sign + between
        name_x = x + (grid.width - (name.width if name is not None else 0)) / 2
        place_x = x + (grid.width - arrow - place.width) / 2
    else:
        sign = Box(floor(x), floor(y + (grid.height - grid.sign) / 2), grid.sign, grid.sign)
        top = y + max(0.0, (grid.height - high) / 2)
        name_x = place_x = x + wide + between
    align: Align = "centre" if grid.above else "start"
    marks: list[Mark] = [Sign(sign, group.shape, group.picture)] if grid.signs else []
    if grid.signs > 1:
        # Where a place has no picture, or not yet, its words stand alone and everything else where it was.
        marks.append(Sign(sign._replace(x=sign.x + grid.sign + between), "place", group.place_picture))
    if name is not None:
        box = around(name_x, top, name.width, name.height)
        marks.append(Words(box, name, align=align, part=f"name-{number}"))
        top += name.height
    if goes:
        side = floor(place.px * ARROW)
        marks.append(Sign(Box(floor(place_x), floor(top + (place.line_height - side) / 2), side, side), "to"))
    box = around(place_x + arrow, top, place.width, place.height)
    return [*marks, Words(box, place, not goes, align=align, part=f"place-{number}")]


def _name(text: str, grid: Grid) -> Setting:
    words = grid.words
    return _set(text, grid.inner, words.name_px, words.name_lines, NAME_WEIGHT)


def _place(text: str, grid: Grid) -> Setting:
    words = grid.words
    inner = max(1.0, grid.inner - arrow_width(words.place_px))
    return _set(text, inner, words.place_px, words.place_lines, PLACE_WEIGHT)


def _set(text: str, width: float, px: int, lines: int, weight: int) -> Setting:
    # So high that the lines alone decide, whatever the script.
    return fit(text, width, px * 4.0 * lines, px, px, weight, lines)
