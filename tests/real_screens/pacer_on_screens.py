"""The program on two real monitors: starts it, photographs it, and paints what the Wall should show."""

import json
import os
import subprocess
import sys
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from operator import sub
from pathlib import Path

from PySide6.QtGui import QColor, QImage, QPainter

from pacer.log.day_records import DayRecords
from pacer.qt.kit import theme
from pacer.run.events import Event
from tests.real_screens.child_process import PATIENCE_S, Child, wait_until
from tests.real_screens.monitors import LAPTOP, OUTPUTS, PROJECTOR, TwoMonitors, Window
from tests.real_screens.private_marker import is_private, pixels, private_pixels

# What only the private window is painted with: its state areas, and the overrun on its tape.
PRIVATE = {
    name: getattr(theme, name).rgb()
    for name in ("CLOSING", "SAND", "SAND_LINE", "PLUM", "ON_PLUM", "OVERRUN")
}
NO_CURTAIN = "PACER_TEST_NO_CURTAIN"
PLAIN_WORDS = {"LC_ALL": "C.UTF-8", "LANGUAGE": ""}
EDGE_SHADES = 100
LATE_S = 10.0  # on a busy machine a picture may show what was true so long before; never what is to come
CALM_S = 0.35  # and a press that follows another large change waits so long (WCAG 2.2, 2.3.1: no flashes)

# Words that stand nowhere but in private fields: the subject, notes, a reminder, and a phase that is the next
# one of none that these tests reach. Whoever reads one on the projector has seen something private.
CANARIES = ("walrus", "pelican", "lantern", "turnip")
REMINDER = "Bring the lantern box"

# An invented lesson. Four times half a minute less turns the first phase's Desk to sand; the second phase is
# at its cap after five seconds, which turns the Desk to plum.
LESSON = """\
format = 1
title = "Halves on a number line"
subject = "Walrus mathematics"
[block]
minutes = 60
mini_lesson = "12"
groups = 2
[[phase]]
id = "wonder"
title = "Look and wonder"
kind = "other"
budget = "2"
floor = "0:30"
class_line = "What do you notice?"
notes = "Pelican: wait for three hands."
[[phase]]
id = "review"
title = "Review"
kind = "review"
budget = "1"
floor = "0:05"
cap = "0:05"
class_line = "One problem on your whiteboard"
[[phase]]
id = "model"
title = "Model"
kind = "modeling"
budget = "8"
[[phase]]
id = "close"
title = "Turnip check"
kind = "look-back"
budget = "1"
"""

# The answer of an earlier day that DUMMY1 is what the class sees, as the program keeps it.
KNOWN_ROOMS = [
    {
        "screens": [
            {"name": OUTPUTS[LAPTOP], "pixels": [1368, 768], "millimetres": [362, 203]},
            {"name": OUTPUTS[PROJECTOR], "pixels": [1280, 720], "millimetres": [339, 190]},
        ],
        "wall": {"name": OUTPUTS[PROJECTOR], "pixels": [1280, 720], "millimetres": [339, 190]},
    }
]

# Paints each frame that the Wall could show in a span of time, from the events on disk and nothing else.
# argv: data folder, run number, folder for pictures, size, how long a press may wait in milliseconds, spans
# of UTC milliseconds. Prints for each span the paths of its pictures and the digits' boxes.
PAINTER = """
import json, sys
from pathlib import Path
from PySide6.QtCore import QSize
from pacer.frames.wall import wall_frame
from pacer.log.day_records import DayRecords
from pacer.pace.reading import Reading
from pacer.qt.paper.picture import draw
from pacer.qt.wall.layout import leaving_fourth, wall_layout
from pacer.qt.wall.marks import Digit
from pacer.run.fold import fold

data, run, folder, size, calm_ms, spans = json.loads(sys.argv[1])
with DayRecords.open(Path(data)) as records:
    events = records.events(run)
painted, told, folded = {}, [], {}
for begin, end in spans:
    frames = []
    if any(begin - calm_ms <= event.utc_ms <= end for event in events):
        begin -= calm_ms
    for utc in (*range(begin, end, 20), end):  # the end, too: a second may change just before it
        known = [event for event in events if event.utc_ms <= utc]
        if not known:
            continue
        last = known[-1]
        if last.seq not in folded:
            folded[last.seq] = fold(known)
        frame = wall_frame(Reading(folded[last.seq], last.t_ms + utc - last.utc_ms))
        if frame not in frames:
            frames.append(frame)
    for frame in frames:
        if frame not in painted:
            painted[frame] = str(Path(folder, f"expected-{size[0]}x{size[1]}-{len(painted)}.bmp"))
            draw(frame, *size).save(painted[frame])
    boxes = [mark.box for frame in frames for mark in wall_layout(frame, QSize(*size)).marks
             if isinstance(mark, Digit)]
    leaving = [leaving_fourth(frame, QSize(*size)) for frame in frames]
    told.append({"pictures": [painted[frame] for frame in frames], "digits": boxes, "leaving": leaving})
print(json.dumps(told))
"""


X_NAMES = {"PageDown": "Page_Down", "PageUp": "Page_Up", "Space": "space", "Period": "period"}

# The program with the curtain taken out of the table of who may see what: to see that tests and table notice.
WITHOUT_CURTAIN = """
import sys
from dataclasses import replace
from pacer.run import room_plan

planned = room_plan.plan

def bare(now):
    found = planned(now)
    if found.private != "curtain":
        return found
    return replace(found, private="desk" if now.has_lesson else "pages", words=None, above=False)

room_plan.plan = bare
from pacer.__main__ import main
sys.exit(main(sys.argv[1:]))
"""


def is_of_the_machine(event: Event) -> bool:
    """Whether nobody did it: a cue, a second shown late, or a stall that counts as sleep."""
    body = event.body
    return body.kind in ("cued", "stalled") or (body.kind == "gap" and body.cause == "slept")


def x_key(name: str) -> str:
    """X's name of a key as the table of commands names it: "PageDown" or "Ctrl+Z"."""
    plain = name.removeprefix("Ctrl+")
    found = X_NAMES.get(plain, plain.lower() if len(plain) == 1 else plain)
    return found if name == plain else f"ctrl+{found}"


def colours(image: QImage) -> set[int]:
    """The colours in a picture, as QColor.rgb() gives them."""
    plain = image.convertToFormat(QImage.Format.Format_RGB32)
    return set(memoryview(plain.constBits()).cast("I"))


def private_colours(image: QImage) -> set[str]:
    """The names of the private window's own colours that are in a picture."""
    found = colours(image)
    return {name for name, colour in PRIVATE.items() if colour in found}


def looks_like(image: QImage, other: QImage) -> bool:
    """Whether two pictures are the same but for the shades on the edges of letters.

    Large letters come out a little different from one run of Qt to the next, by up to some 60 of 255
    here. Another digit, letter or mark differs by far more.
    """
    first, second = (one.convertToFormat(QImage.Format.Format_RGB32) for one in (image, other))
    if first.size() != second.size():
        return False
    row = first.bytesPerLine()
    one, two = bytes(first.constBits()), bytes(second.constBits())
    # Most rows are equal, and comparing them whole is a hundred times faster.
    starts = (at for at in range(0, len(one), row) if one[at : at + row] != two[at : at + row])
    return all(
        max(map(abs, map(sub, one[at : at + row], two[at : at + row]))) <= EDGE_SHADES for at in starts
    )


def is_curtain(image: QImage) -> bool:
    """Whether a laptop's picture is a nearly empty page in the Wall's colours, with nothing private."""
    page = image.copy(0, 30, image.width(), image.height() - 30)
    return share_of(page, theme.PAPER) > 0.9 and private_pixels(page) == 0 and not private_colours(page)


def shows_wall(image: QImage) -> bool:
    """Whether a picture is a page of the Wall with a minute square, be it whole or gone."""
    return share_of(image, theme.PAPER) > 0.5 and any(
        share_of(image, colour) > 0 for colour in (theme.SQUARE, theme.OUTLINE)
    )


def share_of(image: QImage, colour: QColor) -> float:
    """The part of a picture, 0 to 1, that has a colour."""
    return float((pixels(image) == colour.rgb()).mean())


@dataclass(frozen=True)
class Shot:
    """A picture of one monitor, and when it was taken: monotonic seconds, and a span of UTC milliseconds."""

    image: QImage = field(repr=False)
    file: Path
    at_s: float
    span: tuple[int, int]

    @property
    def path(self) -> Path:
        """The picture as a file, which is written when somebody asks for it: a test that fails, mostly."""
        return _written(self.image, self.file)


@dataclass(frozen=True)
class Glance:
    """One picture of everything, cut into its monitors; a monitor that is not lit has none."""

    laptop: QImage | None = field(repr=False)
    projector: QImage | None = field(repr=False)
    image: QImage = field(repr=False)
    file: Path
    at_s: float
    span: tuple[int, int]

    @property
    def whole(self) -> Path:
        """The picture of everything as a file, written when somebody asks for it."""
        return _written(self.image, self.file)

    @property
    def projector_shot(self) -> Shot:
        """The projector's part as a shot."""
        assert self.projector is not None
        return Shot(self.projector, self.file, self.at_s, self.span)


def _written(image: QImage, file: Path) -> Path:
    image.save(str(file))
    return file


@dataclass(frozen=True)
class Expected:
    """The pictures that the Wall may show in a span of time, and the boxes x, y, w, h of their digits.

    ``leaving`` has a box for each picture, or None: the fourth of a square that went last, which may still
    be fading.
    """

    images: list[QImage] = field(repr=False)
    digits: list[tuple[int, int, int, int]]
    leaving: list[tuple[int, int, int, int] | None]

    def is_seen_in(self, image: QImage) -> bool:
        """Whether a picture is one of these, in every letter and mark; only the fading fourth may differ."""
        pairs = zip(self.images, self.leaving, strict=True)
        return any(
            looks_like(image, one) or (box is not None and looks_like(without(image, box), without(one, box)))
            for one, box in pairs
        )


def without(image: QImage, box: Sequence[int]) -> QImage:
    """A copy of a picture with a box wiped out, and a pixel around it."""
    wiped, (x, y, width, height) = image.copy(), box
    with QPainter(wiped) as painter:
        painter.fillRect(x - 1, y - 1, width + 2, height + 2, theme.PAPER)
    return wiped


class PacerOnScreens:
    """Pacer with a data folder that holds one invented lesson, chosen on Today, counted from the press.

    Which screen the class sees is known from another day, as it is on all days but the first, until
    `forget_the_room` is called.
    """

    def __init__(self, monitors: TwoMonitors, run_child: Callable[..., Child], folder: Path) -> None:
        """Nothing starts yet; all pictures go to the folder PACER_SHOTS names, else a few into `folder`."""
        self.monitors = monitors
        self._run_child = run_child
        self.data = folder / "data"
        self._outline = self.data / "outlines" / "halves.toml"
        self._outline.parent.mkdir(parents=True)
        self._outline.write_text(LESSON, encoding="utf-8")
        self._settings = {
            "last_outline": str(self._outline),
            "start_when_pressed": True,
            "reminders": [REMINDER],
            "rooms": KNOWN_ROOMS,
        }
        self._write_settings()
        self._work = folder
        self._shots = Path(os.environ.get("PACER_SHOTS") or folder)
        self._shots.mkdir(parents=True, exist_ok=True)
        self._keep = bool(os.environ.get("PACER_SHOTS"))

    def _write_settings(self) -> None:
        (self.data / "settings.json").write_text(json.dumps(self._settings), encoding="utf-8")

    def restore_settings(self) -> None:
        """The settings of the first start; while the program does not run."""
        self._write_settings()

    def forget_the_room(self) -> None:
        """Nobody ever told which screen the class sees; before the program starts."""
        del self._settings["rooms"]
        self._write_settings()

    def know_the_room(self, *rooms: Mapping[str, object]) -> None:
        """Other answers of an earlier day, as the program keeps them; before the program starts."""
        self._settings["rooms"] = list(rooms)
        self._write_settings()

    # --- the program

    def start(self, *arguments: str, env: Mapping[str, str] | None = None) -> Child:
        """Start the program; without arguments, on the data folder."""
        given = arguments or ("--data-dir", str(self.data))
        program = ["-c", WITHOUT_CURTAIN] if os.environ.get(NO_CURTAIN) else ["-m", "pacer"]
        return self._run_child([sys.executable, *program, *given], env=PLAIN_WORDS | dict(env or {}))

    def start_on_today(self) -> tuple[Child, Window]:
        """Start the program, wait until its private window has the keyboard, and show Today."""
        child = self.start()
        window = self.monitors.wait_for_window("Pacer")
        wait_until(lambda: self.monitors.active_window_title() == "Pacer", "the keyboard to be in Pacer")
        self.show_pages()
        return child, window

    def show_pages(self) -> None:
        """Where the class may look the pages wait for Enter; where it is known not to, they come at once."""
        end = time.monotonic() + PATIENCE_S
        while not is_private(self.laptop("0-pages").image):
            assert time.monotonic() < end, "the pages never came"
            if self.settings().get("rooms"):
                time.sleep(0.05)
            else:
                time.sleep(0.5)  # the screens have settled
                if not is_private(self.laptop("0-pages").image):
                    self.monitors.key("Return")
                    time.sleep(0.3)

    def lift(self, name: str, shows: Callable[[QImage], bool] = is_private) -> Shot:
        """Enter, where the class looks: the teacher shows a page there on purpose, until screens change."""

        def has_settled() -> bool:
            # While screens settle the curtain lifts for no key, and then it says something else.
            before = self.projector(f"{name}-before").image
            time.sleep(0.6)
            return self.projector(f"{name}-before").image == before

        wait_until(has_settled, "the curtain to settle")
        self.monitors.tell("lift")
        self.monitors.key("Return")
        return self.wait_for_shot(name, PROJECTOR, shows, "Enter to lift the curtain for this time")

    def settings(self) -> dict:
        """The settings on disk."""
        return json.loads((self.data / "settings.json").read_text(encoding="utf-8"))

    def start_lesson(self) -> tuple[Child, Window, Window]:
        """From nothing to a running lesson, by the keyboard alone: child, private window, Wall."""
        child, private = self.start_on_today()
        self.monitors.key("Return")
        if not self.settings().get("rooms"):
            self.answer_numbers()
        wall = self.wait_for_wall()
        self.wait_for_events("started")
        self.wait_for_painted_wall("wall-at-start")
        return child, private, wall

    def answer_numbers(self) -> None:
        """The first lesson in a data folder asks which screen the class sees: the projector, number 2."""
        self.monitors.wait_for_window("Screen 2")
        self.monitors.key("2")
        wait_until(lambda: self.window("Screen 2") is None, "the number to go")

    def wait_for_painted_wall(self, name: str) -> Shot:
        """Photograph the projector until a running lesson's Wall is on it: black and a title come first."""
        # The number card, which has the colour of the squares too, is gone by then.
        wait_until(lambda: self.window("Screen 2") is None, "the number to go")
        return self.wait_for_shot(name, PROJECTOR, shows_wall, "the Wall to be painted")

    def wait_for_wall(self, title: str = "Wall", timeout_s: float = PATIENCE_S) -> Window:
        """The visible Wall, or Wall strip."""
        return wait_until(lambda: self.window(title), f"a window titled {title!r}", timeout_s)

    def window(self, title: str) -> Window | None:
        """The visible window with just this title, if there is one."""
        return next((window for window in self.monitors.windows() if window.title == title), None)

    def press(self, *keys: str) -> None:
        """Press keys as a hand does: the same key never twice within its guard of 0.4 s."""
        for index, key in enumerate(keys):
            if index and key == keys[index - 1]:
                time.sleep(0.45)
            self.monitors.key(key)

    # --- the day record

    def events(self) -> list[Event]:
        """The events of the newest lesson on disk, none when there is no lesson."""
        with DayRecords.open(self.data) as records:
            runs = records.runs()
            return records.events(runs[0].id) if runs else []

    def wait_for_events(self, *kinds: str) -> list[Event]:
        """Wait until the events on disk are of just these kinds, and return them.

        Left out are cues, and what a busy machine did: seconds shown late, and more of them, a gap.
        """

        def look() -> list[Event]:
            return [event for event in self.events() if not is_of_the_machine(event)]

        def are_there() -> bool:
            return [event.body.kind for event in look()] == list(kinds)

        wait_until(are_there, f"the events {' '.join(kinds)}")
        return look()

    # --- pictures

    def shot(self, name: str, monitor: int) -> Shot:
        """Photograph a monitor; the file is called `name`."""
        begin = time.time()
        image = self.monitors.photograph(monitor)
        at_s, span = time.monotonic(), (round(begin * 1000), round(time.time() * 1000))
        file = self._shots / f"{name}.png"
        if self._keep:
            _written(image, file)
        return Shot(image, file, at_s, span)

    def glance(self, name: str) -> Glance:
        """Photograph both monitors at one moment."""
        places = self.monitors.monitors()
        begin = time.time()
        whole, end, at_s = self.monitors.photograph(), time.time(), time.monotonic()
        cut = {at.name: whole.copy(at.x, at.y, at.width, at.height) for at in places}
        seen = Glance(
            cut.get(OUTPUTS[LAPTOP]), cut.get(OUTPUTS[PROJECTOR]), whole, self._shots / f"{name}.png", at_s,
            (round(begin * 1000), round(end * 1000)),
        )  # fmt: skip
        if self._keep:
            _written(whole, seen.file)
        return seen

    def projector(self, name: str) -> Shot:
        """Photograph the projector."""
        return self.shot(name, PROJECTOR)

    def laptop(self, name: str) -> Shot:
        """Photograph the laptop."""
        return self.shot(name, LAPTOP)

    def expected(
        self, shots: Sequence[Shot], size: tuple[int, int], *, late_s: float = LATE_S, since_ms: int = 0
    ) -> list[Expected]:
        """What the Wall could show in pixels `size` during each shot; a process of its own paints it.

        The Wall may be `late_s` late, but shows nothing from before `since_ms`, in UTC milliseconds.
        """
        told = [str(self.data), 1, str(self._work), size, round(CALM_S * 1000)]
        told.append(
            [
                (min(begin, max(since_ms, begin - round(late_s * 1000))), end)
                for begin, end in (shot.span for shot in shots)
            ]
        )
        done = subprocess.run(
            [sys.executable, "-c", PAINTER, json.dumps(told)],
            env=self.monitors.env() | PLAIN_WORDS,
            capture_output=True,
            text=True,
            timeout=600,
            check=False,
        )
        assert done.returncode == 0, done.stderr
        return [
            Expected(
                [QImage(path) for path in found["pictures"]],
                [tuple(box) for box in found["digits"]],
                found["leaving"],
            )
            for found in json.loads(done.stdout)
        ]

    def wait_for_shot(self, name: str, monitor: int, is_right: Callable[[QImage], bool], what: str) -> Shot:
        """Photograph a monitor until the picture is right; AssertionError names the last picture."""
        end = time.monotonic() + PATIENCE_S
        while True:
            shot = self.shot(name, monitor)
            if is_right(shot.image):
                return shot
            assert time.monotonic() < end, f"waited in vain for {what}; last seen: {shot.path}"
