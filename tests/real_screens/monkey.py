"""A monkey at the keyboard of two real monitors: thirty keys a second on all pages, in dialogs and lessons.

`python tests/real_screens/monkey.py --seed 1 --minutes 3` plugs, unplugs, mirrors, extends and closes the lid
all the while, closes and kills the program now and then, and ends with 1 at a fault. The program may write
into one temporary folder only: its file choosers are in the monkey's hands. Needs Linux and `unshare`.
"""

import argparse
import os
import random
import shutil
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from pathlib import Path
from statistics import median
from string import ascii_lowercase

if __name__ == "__main__":
    sys.path[0] = str(Path(__file__).parents[2])

from pacer.commands import KEYS
from pacer.log.day_records import DayRecords
from pacer.run.events import Event
from pacer.run.fold import fold
from tests.real_screens.child_process import Child, wait_until
from tests.real_screens.monitors import LAPTOP, OUTPUTS, PROJECTOR, TwoMonitors
from tests.real_screens.pacer_on_screens import PacerOnScreens, x_key
from tests.real_screens.screen_changes import PAIRS, Screens
from tests.real_screens.table import text_on, words_on
from tests.real_screens.witness import Testimony, Witness

KEYS_A_SECOND = 30
BATCH = 30
# 1 would say that the class sees the laptop; what ends a lesson is rare.
ENDS = ["Home", "ctrl+End"]
LESSON = [x_key(name) for key in KEYS for name in key.names if name not in ("1", "Home", "Ctrl+End", "Space")]
PLAIN = [
    "Tab",
    "Tab",
    "shift+Tab",
    "Escape",
    "Up",
    "Down",
    "Left",
    "Right",
    "Page_Down",
    "Page_Up",
    "F1",
    "F2",
]
PAGES = [f"ctrl+{number}" for number in range(1, 8)]
PRESSING = ["Return", "Return", "space", "ctrl+Return", *(f"alt+{letter}" for letter in ascii_lowercase)]
WRITING = [f"ctrl+{key}" for key in ("n", "o", "s", "t", "u", "w", "y", "z", "a", "shift+c")]
TYPED = [*"aehilnorst", *"023456789", "period", "colon"]
# These show the class no page on purpose, as Enter, Space, and a question's letters do.
SAFE = [key for key in (*LESSON, *PLAIN, *PAGES) if key not in ascii_lowercase]
MOODS = {
    "lesson": [*LESSON * 2, *PLAIN, "Return", "space"],
    "pages": [*PAGES, *PLAIN * 2, *PRESSING],
    "writing": [*PAGES, *PLAIN, *WRITING, *TYPED, *PRESSING],
    "all": [*LESSON, *PAGES, *PLAIN, *PRESSING, *WRITING, *TYPED, *ENDS],
}
QUESTIONS = ("press the number", "only one screen", "rehearsal shows the desk")
# Qt says this on a machine without a desktop and without sound.
HARMLESS = ("Unable to detect a launcher", "PulseAudioService")
WAIT_S = 60.0
LOOK_EVERY_S = 3.0
# Every folder but one can only be read in there.
JAIL = """
grep -v '^proc\\|^sysfs\\|^dev' /proc/self/mounts | cut -d' ' -f2 | while read -r at; do
    case "$at" in /proc*|/sys*|/dev*) ;; *) mount -o remount,bind,ro "$at" 2>/dev/null ;; esac
done
mount --bind "$0" "$0" && mount -o remount,bind,rw "$0" && ! touch "$0/../not-here" 2>/dev/null && exec "$@"
"""


@dataclass
class Monkey:
    """Presses keys and changes screens, and keeps what happened."""

    monitors: TwoMonitors
    witness: Witness
    folder: Path
    chance: random.Random
    faults: list[str] = field(default_factory=list)
    done: Counter[str] = field(default_factory=Counter)
    titles: Counter[str] = field(default_factory=Counter)

    def __post_init__(self) -> None:
        """The program has a home and a data folder of its own."""
        self.home = self.folder / "home"
        self.home.mkdir()
        self.pacer = PacerOnScreens(self.monitors, self._jailed, self.home)
        self.rooms = self.pacer.settings()["rooms"]
        self.screens = Screens(self.monitors)
        self.told = (self.folder / "done.txt").open("w", encoding="utf-8")
        self.child: Child | None = None
        self.is_in_lesson = False

    def _jailed(
        self, argv: Sequence[str | Path], env: Mapping[str, str] | None = None, cwd: Path | None = None
    ) -> Child:
        alone = ["unshare", "--mount", *([] if os.geteuid() == 0 else ["--map-root-user"])]
        names = ("HOME", "TMPDIR", "XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_CACHE_HOME")
        homes = dict.fromkeys(names, str(self.home))
        return Child(
            [*alone, "sh", "-c", JAIL, self.home, *argv],
            self.monitors.env() | dict(env or {}) | homes,
            cwd or self.home,
        )

    def note(self, what: str) -> None:
        """Keep what was done, to be read after a fault."""
        self.done[what.split(":")[0]] += 1
        self.told.write(f"{time.monotonic():.2f} {what}\n")
        self.told.flush()

    # --- the program

    def start(self) -> None:
        """Start the program and wait for its window."""
        self.note("program started")
        self.child = self.pacer.start()
        self.monitors.wait_for_window("Pacer")

    def check_program(self) -> None:
        """It runs, or was closed as it should be and is started again; nothing was said on its way."""
        assert self.child is not None
        if self.child.running:
            return
        self._read_last_words(self.child)
        if self.child.process.returncode:
            self.faults.append(
                f"the program ended with {self.child.process.returncode}: {self.child.err()[-2000:]}"
            )
        self.note("program closed by keys")
        self.child.close()
        self.start()

    def kill(self) -> None:
        """As a crash or a power cut would."""
        assert self.child is not None
        self.note("program killed")
        self.child.kill()
        self._read_last_words(self.child)
        self.child.close()
        self.start()

    def _read_last_words(self, child: Child) -> None:
        lines = filter(None, child.err().splitlines())
        said = [line for line in lines if not any(words in line for words in HARMLESS)]
        if said:
            self.faults.append("said: " + "\n".join(said[-30:]))

    def keep_the_answer(self) -> None:
        """Where the monkey said that the class sees the laptop, the answer of the other day is put back."""
        if all(room["wall"]["name"] == OUTPUTS[PROJECTOR] for room in self.pacer.settings().get("rooms", [])):
            return
        assert self.child is not None
        self.note("said that the class sees the laptop")
        self.child.kill()
        self._read_last_words(self.child)
        self.child.close()
        self.pacer.restore_settings()
        self.start()

    # --- keys and screens

    def may_be_shown_on_purpose(self) -> bool:
        """Whether the private window, or a dialog, is where the class looks, so that keys can lift there."""
        if not self.screens.teacher_is_alone:
            return True
        laptop = self.monitors.monitor(LAPTOP)
        own = [
            window for window in self.monitors.windows() if not window.title.startswith(("Wall", "Screen "))
        ]
        self.titles.update(window.title for window in own)
        return any(window.x + window.width > laptop.x + laptop.width for window in own)

    def press(self, keys: Sequence[str]) -> None:
        """A batch of keys, thirty a second."""
        begin = time.monotonic()
        self.note(f"keys: {' '.join(keys)}")
        self.done["keys pressed"] += len(keys)
        self.monitors.key(*keys, apart_ms=8)
        time.sleep(max(0.0, begin + len(keys) / KEYS_A_SECOND - time.monotonic()))

    def some_keys(self) -> list[str]:
        """A batch of any keys; where there is no lesson it often begins one, for hardly any chance would."""
        begins = self.screens.teacher_is_alone and not self.is_in_lesson and self.chance.random() < 0.6
        stays = (begins or self.is_in_lesson) and self.chance.random() < 0.7
        mood = "lesson" if stays else self.chance.choice(list(MOODS))
        keys = self.chance.choices(MOODS[mood], k=BATCH)
        return ["Escape", "Escape", "Return", "ctrl+1", "alt+s", *keys[5:]] if begins else keys

    def change_screens(self) -> None:
        """One change, and a while of keys that lift nothing: whatever is private then is no one's wish."""
        screens = self.screens
        names = [name for pair in PAIRS.items() for name in pair if name and screens.can(name)]
        if not screens.teacher_is_alone:
            # Another main screen, or another size of one that is dark, changes nothing here. Ways back are
            # taken more often: on one screen, or mirrored, most keys find the curtain.
            names.remove("swap primary")
            if screens.unplugged or screens.mirrored:
                names.remove("resize")
            names += [name for name in names if name in ("plug", "open lid", "extend")] * 2
        change = self.chance.choice(names)
        self.note(f"{change}:")
        self.screens.do(change)
        for _batch in range(self.chance.randint(1, 2)):
            self.press(self.chance.choices(SAFE, k=BATCH))
        while not self.witness.is_clean:  # it says itself when this takes too long
            time.sleep(0.05)

    def focus(self) -> None:
        """A click on the private window, where no window has the keyboard."""
        if not self.monitors.active_window_title():
            found = next((window for window in self.monitors.windows() if window.title == "Pacer"), None)
            if found is not None:
                self.note("window activated")
                self.monitors.activate(found, wait=False)

    def storm(self, seconds: float) -> None:
        """All of it for so long."""
        end = time.monotonic() + seconds
        next_change = next_kill = next_look = 0.0
        self.start()
        while time.monotonic() < end:
            self.check_program()
            self.focus()
            now = time.monotonic()
            if now >= next_change:
                self.change_screens()
                self.check_program()
                next_change = time.monotonic() + self.chance.uniform(3.0, 8.0)
            if next_kill and now >= next_kill:
                self.kill()
            if not next_kill or now >= next_kill:
                next_kill = time.monotonic() + self.chance.uniform(40.0, 80.0)
            if self.may_be_shown_on_purpose():
                self.monitors.tell("lift")
                self.monitors.tell("")
            self.press(self.some_keys())
            self.keep_the_answer()
            if now >= next_look:
                self.check_lessons()
                next_look = time.monotonic() + LOOK_EVERY_S
        self.leave()

    def leave(self) -> None:
        """The program still answers: it closes when asked as often as it takes."""
        assert self.child is not None
        child = self.child

        def is_closed() -> bool:
            if child.running:
                self.focus()
                self.monitors.key("alt+F4")
                time.sleep(1.2)  # in a lesson it is asked twice, and not by one slip
            return not child.running

        self.check_program()
        child = self.child
        try:
            wait_until(is_closed, "the program to close", WAIT_S)
        except AssertionError as error:
            self.faults.append(f"{error}; windows: {[window.title for window in self.monitors.windows()]}")
        self._read_last_words(child)
        if not child.running and child.process.returncode:
            self.faults.append(f"the program ended with {child.process.returncode}")
        child.close()
        self.check_log()

    # --- what must be true

    def lessons(self) -> list[list[Event]]:
        """The events of every lesson on disk, those in the trash too, in the order they began."""
        with DayRecords.open(self.pacer.data) as records:
            runs = [*records.runs(), *records.trashed_runs()]
            return sorted((records.events(run.id) for run in runs), key=lambda events: events[0].utc_ms)

    def check_lessons(self) -> None:
        """Every lesson can be read, at most one is under way, and none began over another."""
        if not (self.pacer.data / "day-records.sqlite3").exists():
            return
        found = self.lessons()
        running = [fold(events).is_running for events in found]
        self.done["lessons"], self.is_in_lesson = len(found), any(running)
        overlap = sum(one[-1].utc_ms > after[0].utc_ms for one, after in pairwise(found))
        if sum(running) > 1 or overlap:
            self.faults.append(f"a lesson began over another: {running}, {overlap} overlap")

    def check_log(self) -> None:
        """No exception was noted."""
        for path in self.pacer.data.glob("pacer.log*"):
            lines = path.read_text(encoding="utf-8").splitlines()
            self.faults += [f"noted: {line}" for line in lines if "fault " in line or "crash" in line]

    def tell(self, seen: Testimony, took_s: float) -> None:
        """Print what happened and what was seen."""
        keys = self.done["keys pressed"]
        print(f"{took_s:.0f} s, {keys} keys, {keys / took_s:.1f} a second")
        print(", ".join(f"{name} {count}" for name, count in sorted(self.done.items())))
        print("windows:", ", ".join(f"{title} {count}" for title, count in self.titles.most_common()))
        covered = [change.covered_ms or 0.0 for change in seen.changes] or [0.0]
        print(f"{seen.photographs} photographs of the projector, {len(seen.changes)} changes of screens")
        print(f"{len(seen.private)} private, {seen.left_over} left over")
        print(f"clean after a change: {median(covered):.0f} ms in the middle, {max(covered):.0f} ms at most")
        asked = [path for path in dict.fromkeys(seen.private) if is_question(path)]
        print(f"{len(asked)} of the private pictures hold a question about the screens and no more")
        self.faults += [f"private: {path}" for path in dict.fromkeys(seen.private) if path not in asked]
        for fault in [*self.faults, *seen.faults]:
            print("FAULT", fault)


def is_question(picture: Path) -> bool:
    """Whether all that is read there is a question about the screens, which is fit for the class."""
    if not shutil.which("tesseract"):
        return False
    text = text_on(picture)
    return any(words in text for words in QUESTIONS) and "look back" not in text and not words_on(picture)


def main() -> int:
    """One storm; 1 at a fault."""
    parser = argparse.ArgumentParser(description="Thirty keys a second on two real monitors.")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--minutes", type=float, default=3.0)
    given = parser.parse_args()
    folder = Path(tempfile.mkdtemp(prefix=f"pacer-monkey-{given.seed}-"))
    print(f"seed {given.seed}: what is done and seen is kept in {folder}")
    with TwoMonitors() as monitors:
        witness, begin = Witness(monitors, folder, most=60), time.monotonic()
        monkey = Monkey(monitors, witness, folder, random.Random(given.seed))
        witness.start()
        try:
            monkey.storm(given.minutes * 60)
            monkey.check_lessons()
        finally:
            seen = witness.stop()
            if monkey.child is not None:
                monkey.child.close()
            monkey.tell(seen, time.monotonic() - begin)
    return 1 if monkey.faults or seen.faults else 0


if __name__ == "__main__":
    sys.exit(main())
