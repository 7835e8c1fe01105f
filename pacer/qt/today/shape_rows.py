"""The table of day shapes: a row of fields for each, read back into shapes or into what is wrong with one."""

from dataclasses import dataclass

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QLineEdit, QWidget

from pacer.plan.day_shapes import STARTING_SHAPES, DayShape
from pacer.plan.durations import brief_duration, parse_duration
from pacer.plan.findings import block_findings
from pacer.plan.seen_text import is_seen
from pacer.qt.kit.rows import LEFT, column_of, grid_of
from pacer.qt.kit.widgets import button, label, named, scrolled, spin_box
from pacer.text import _

LEAST_S, MOST_S, MOST_PART_S = 300, 8 * 3600, 3600
MOST_SHAPES = 12


@dataclass(frozen=True)
class WrongField:
    """A field whose text is nothing, and in words what to write there."""

    field: QLineEdit
    words: str


class ShapeRow:
    """The fields of one shape."""

    def __init__(self, shape: DayShape) -> None:
        self.name = _line(shape.name, 140, _("Name"))
        self.name.setMaxLength(60)
        self.start = _line(shape.start, 78, _("Starts at"))
        self.length = _line(brief_duration(shape.length_s), 74, _("Minutes"))
        self.share = _line(brief_duration(shape.share_s), 74, _("Share"))
        self.move = _line(brief_duration(shape.move_s), 74, _("Transition to the groups"))
        self.clean_up = _line(brief_duration(shape.clean_up_s), 74, _("Clean-up"))
        self.groups = spin_box(shape.groups, 0, 12, _("Groups"))
        self.groups.setMaximumWidth(90)
        self.swap = _line(brief_duration(shape.swap_s), 74, _("Swap groups"))

    @property
    def widgets(self) -> tuple[QWidget, ...]:
        """The fields in the order of the columns."""
        return (self.name, self.start, self.length, self.share, self.move, self.clean_up, self.groups,
                self.swap)  # fmt: skip

    @property
    def title(self) -> str:
        """The name as it is typed, without blanks around it."""
        return " ".join(self.name.text().split())

    def shape(self) -> DayShape | WrongField:
        """The shape that is typed, or its first wrong field."""
        if not is_seen(self.title):
            return WrongField(self.name, _("A shape needs a name."))
        start = self.start.text().strip().replace(".", ":")
        hour, colon, minute = start.partition(":")
        if not (colon and hour.isdecimal() and minute.isdecimal() and len(minute) == 2
                and len(hour) <= 2 and int(hour) < 24 and int(minute) < 60):  # fmt: skip
            words = _("{name}: write when it starts as a clock time, such as 9:00.")
            return WrongField(self.start, words.format(name=self.title))
        lengths: dict[str, int] = {}
        for key, field, least_s, most_s in (
            ("length_s", self.length, LEAST_S, MOST_S),
            ("share_s", self.share, 0, MOST_PART_S),
            ("move_s", self.move, 0, MOST_PART_S),
            ("clean_up_s", self.clean_up, 0, MOST_PART_S),
            ("swap_s", self.swap, 0, MOST_PART_S),
        ):
            seconds = _seconds(field.text())
            if seconds is None or not least_s <= seconds <= most_s:
                words = _("{name}, {what}: write minutes from {least} to {most}, such as 5 or 1:30.")
                words = words.format(
                    name=self.title, what=field.accessibleName(), least=least_s // 60, most=most_s // 60
                )
                return WrongField(field, words)
            lengths[key] = seconds
        around = lengths["share_s"] + lengths["move_s"] + lengths["clean_up_s"]
        if around >= lengths["length_s"]:
            words = _("{name}: share, transition and clean-up leave nothing of the block.")
            return WrongField(self.length, words.format(name=self.title))
        shape = DayShape(
            name=self.title, start=f"{int(hour)}:{minute}", groups=self.groups.value(), **lengths
        )
        found = block_findings(shape.block)
        if found:
            return WrongField(self.length, f"{self.title}: {found[0].words}")
        return shape


class ShapeTable(QWidget):
    """All rows. ``changed`` comes when a row came or a name changed; ``removed`` carries a row taken out."""

    changed = Signal()
    removed = Signal(object)

    def __init__(self, shapes: tuple[DayShape, ...]) -> None:
        super().__init__()
        self.setAccessibleName(_("Shapes"))
        self.rows: list[ShapeRow] = []
        self._removers: dict[QWidget, ShapeRow] = {}
        self._last = 0
        self._body = QWidget()
        self._grid = grid_of(10, 6, inside=self._body, shares={0: 1})
        heads = _("Name"), _("Starts"), _("Minutes"), _("Share"), _("Transition"), _("Clean-up"), _("Groups")
        for column, words in enumerate((*heads, _("Swap"))):
            self._grid.addWidget(label(words, bold=True), 0, column)
        self._grid.setRowStretch(1000, 1)
        self._area = scrolled(self._body, _("Shapes"))
        self._area.setMinimumHeight(178)
        self.add_button = button(_("A&dd a shape"), self._on_add)
        column_of((self._area, 1), (self.add_button, 0, LEFT), gap=8, inside=self)
        for shape in shapes:
            self._add(shape)

    def shapes(self) -> tuple[DayShape, ...] | WrongField:
        """All shapes, or the first wrong field. Two shapes of one name could not be told apart."""
        shapes: list[DayShape] = []
        for row in self.rows:
            shape = row.shape()
            if isinstance(shape, WrongField):
                return shape
            if any(shape.name.casefold() == other.name.casefold() for other in shapes):
                words = _("Two shapes are called {name}. Give one of them another name.")
                return WrongField(row.name, words.format(name=shape.name))
            shapes.append(shape)
        return tuple(shapes)

    def point_at(self, field: QLineEdit) -> None:
        """Bring a field into sight and give it the keyboard, its text chosen."""
        self._area.ensureWidgetVisible(field)
        field.setFocus(Qt.FocusReason.OtherFocusReason)
        field.selectAll()

    def _add(self, shape: DayShape) -> ShapeRow:
        row = ShapeRow(shape)
        self.rows.append(row)
        self._last += 1  # rows of the grid are never used again
        number = self._last
        for column, widget in enumerate(row.widgets):
            self._grid.addWidget(widget, number, column)
        remove = button(_("Take out"), self._on_remove, "remove")
        self._removers[remove] = row
        self._grid.addWidget(remove, number, len(row.widgets))
        self._name_removers()
        row.name.textChanged.connect(self._on_name)
        return row

    def _on_name(self, _text: str) -> None:
        self._name_removers()
        self.changed.emit()

    def _name_removers(self) -> None:
        for remove, row in self._removers.items():
            named(remove, _("Take out: {name}").format(name=row.title))

    def _on_add(self) -> None:
        if len(self.rows) >= MOST_SHAPES:
            return
        titles = {row.title for row in self.rows}
        first = self.rows[0].shape() if self.rows else None
        model = first if isinstance(first, DayShape) else STARTING_SHAPES[0]
        names = (_("Shape {n}").format(n=number) for number in range(len(self.rows) + 1, 1000))
        name = next(name for name in names if name not in titles)
        row = self._add(model.model_copy(update={"name": name}))
        self.changed.emit()
        self._body.adjustSize()
        self.point_at(row.name)

    def _on_remove(self) -> None:
        pressed = self.sender()
        assert isinstance(pressed, QWidget)
        row = self._removers.pop(pressed)
        self.rows.remove(row)
        for widget in (*row.widgets, pressed):
            self._grid.removeWidget(widget)
            widget.hide()
            widget.deleteLater()
        self.removed.emit(row)
        self.add_button.setFocus()


def _line(text: str, width: int, name: str) -> QLineEdit:
    line = named(QLineEdit(text), name)
    line.setMinimumWidth(width)
    if width < 100:
        line.setMaximumWidth(width)
    return line


def _seconds(text: str) -> int | None:
    try:
        return parse_duration(text)
    except ValueError:
        return None
