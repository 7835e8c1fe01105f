"""Screens that change under a running lesson: one change after the other, and what is seen after each."""

import math
import random
import time
from dataclasses import dataclass, field

from tests.real_screens.child_process import PATIENCE_S, Child, wait_until
from tests.real_screens.monitors import LAPTOP, PROJECTOR, TwoMonitors
from tests.real_screens.pacer_on_screens import Glance, PacerOnScreens, Shot, is_curtain, shows_wall
from tests.real_screens.private_marker import is_private, private_pixels

# When the lid closes or screens are mirrored, the display server itself shows the class at once what lay on
# that part of the desktop, before any program hears of it. No frame of ours: once it is gone, it stays gone.
OTHER_SIZE = {"1280x720": "1920x1080", "1920x1080": "1280x720"}
# Each opens with the first word and comes back with the second; the last two have no way back.
PAIRS = {"unplug": "plug", "close lid": "open lid", "mirror": "extend", "swap primary": "", "resize": ""}


@dataclass
class Screens:
    """What is plugged in and how, and the changes that can be made from there."""

    monitors: TwoMonitors
    unplugged: bool = False
    lid_closed: bool = False
    mirrored: bool = False
    size: str = "1280x720"

    def can(self, change: str) -> bool:
        """Whether this change can be made now; one monitor always stays."""
        one = self.unplugged or self.lid_closed
        return {
            "unplug": not one,
            "close lid": not one,
            "plug": self.unplugged,
            "open lid": self.lid_closed,
            "mirror": not one and not self.mirrored,
            "extend": not one and self.mirrored,
            "swap primary": True,
            "resize": True,
        }[change]

    def do(self, change: str) -> bool:
        """Make a change; whether the screens really differ after it."""
        monitors, before = self.monitors, self.monitors.monitors()
        match change:
            case "unplug" | "plug":
                self.unplugged = not self.unplugged
                (monitors.unplug if self.unplugged else monitors.plug)(PROJECTOR)
            case "close lid" | "open lid":
                self.lid_closed = not self.lid_closed
                (monitors.unplug if self.lid_closed else monitors.plug)(LAPTOP)
            case "mirror" | "extend":
                self.mirrored = not self.mirrored
                (monitors.mirror if self.mirrored else monitors.extend)()
            case "swap primary":
                monitors.swap_primary()
            case "resize":
                self.size = OTHER_SIZE[self.size]
                monitors.set_mode(PROJECTOR, self.size)
        return monitors.monitors() != before

    @property
    def teacher_is_alone(self) -> bool:
        """Whether the laptop's picture is the teacher's own while the class has another one."""
        return not (self.unplugged or self.lid_closed or self.mirrored)


def random_changes(seed: int, times: int, screens: Screens) -> list[str]:
    """Every change so many times, there and back, in an order in which each one is possible."""
    chance = random.Random(seed)
    left = dict.fromkeys(PAIRS, times) | {back: times for back in PAIRS.values() if back}
    order: list[str] = []
    while any(left.values()):
        # Weighted by what is left, so that no kind is used up long before the others.
        possible = [name for name, count in left.items() if count and screens.can(name) for _ in range(count)]
        change = chance.choice(possible)
        left[change] -= 1
        order.append(change)
        if change in ("unplug", "plug"):
            screens.unplugged = change == "unplug"
        elif change in ("close lid", "open lid"):
            screens.lid_closed = change == "close lid"
        elif change in ("mirror", "extend"):
            screens.mirrored = change == "mirror"
    return order


@dataclass
class Watcher:
    """Makes one change after the other and keeps what was seen."""

    pacer: PacerOnScreens
    screens: Screens
    child: Child
    walls: list[Shot] = field(default_factory=list)
    back_s: list[tuple[float, str]] = field(default_factory=list)
    curtain_s: list[float] = field(default_factory=list)
    left_over_s: list[float] = field(default_factory=list)
    lifted: int = 0
    moved: int = 0
    real_changes: int = 0
    pressed: list[str] = field(default_factory=list)
    number: int = 0

    def glance(self, what: str, changed_s: float | None = None) -> Glance:
        """Look at both monitors: nothing private is on the projector, but for what a change left over."""
        while True:
            seen = self.pacer.glance(f"8-{self.number:02}-{what.replace(' ', '-')}")
            assert self.child.running, "the program has ended"
            if seen.projector is None or private_pixels(seen.projector) == 0:
                return seen
            at_s = math.inf if changed_s is None else seen.at_s - changed_s
            assert at_s <= PATIENCE_S, f"private pixels on the projector: {seen.whole}"
            self.left_over_s.append(at_s)

    def change(self, change: str) -> None:
        """Make a change and look until all is as it must be."""
        self.number += 1
        showed_desk = self.shows_desk()
        begin = time.monotonic()
        really = self.screens.do(change)
        first = seen = self.glance(change, begin)
        if really:
            self.real_changes += 1
            while seen.laptop is not None and not self.is_covered(seen):
                assert seen.at_s - begin < PATIENCE_S, f"no curtain on the laptop: {seen.whole}"
                seen = self.glance(change)
            if seen.laptop is not None and showed_desk:
                self.curtain_s.append(seen.at_s - begin)
        seen = first
        while seen.projector is not None and not shows_wall(seen.projector):
            assert seen.at_s - begin < PATIENCE_S, f"{change}: no Wall comes back, see {seen.whole}"
            seen = self.glance(change)
        if seen.projector is not None and change in ("plug", "open lid", "extend", "resize"):
            self.back_s.append((seen.at_s - begin, change))
        self.wait_for_note()
        # Until the program has heard of it, the display server shows what lay there at the earlier size.
        settled = self.glance(change)
        if settled.projector is not None:
            self.walls.append(settled.projector_shot)

    def shows_desk(self) -> bool:
        """Whether the laptop shows the Desk."""
        seen = self.glance("before")
        return seen.laptop is not None and not self.screens.mirrored and is_private(seen.laptop)

    def is_covered(self, seen: Glance) -> bool:
        """Whether the laptop shows the curtain; where the window is not on it, only nothing private."""
        assert seen.laptop is not None
        if self.screens.mirrored or not self.is_window_on_laptop():
            return private_pixels(seen.laptop) == 0
        return is_curtain(seen.laptop)

    def is_window_on_laptop(self) -> bool:
        """Whether the private window is on the laptop: the system takes it along when the lid closes."""
        window, laptop = self.pacer.window("Pacer"), self.screens.monitors.monitor(LAPTOP)
        return window is not None and laptop.x <= window.x + window.width // 2 < laptop.x + laptop.width

    def wait_for_note(self) -> None:
        """The change is in the day record, once."""
        wait_until(lambda: len(self.noted()) >= self.real_changes, f"change {self.number} to be noted")
        assert len(self.noted()) == self.real_changes

    def noted(self) -> list:
        return [event.body for event in self.pacer.events() if event.body.kind == "screens_changed"]

    def lift(self) -> None:
        """Enter: the Desk comes back where only the teacher sees the laptop, and nowhere else."""
        seen = self.glance("before enter")
        if self.screens.mirrored or self.screens.unplugged:
            return
        self.pacer.monitors.key("Return")
        if not self.screens.teacher_is_alone:
            self.press("1", "tally")  # what was followed after it shows that Enter was heard
            seen = self.glance("enter")
            assert seen.projector is not None
            self.walls.append(seen.projector_shot)
            return
        if not self.is_window_on_laptop():
            # The program never moves it, so the teacher does; she is told to.
            assert seen.laptop is not None
            assert private_pixels(seen.laptop) == 0
            self.pacer.monitors.move_to(LAPTOP, "Pacer")
            self.moved += 1
            wait_until(lambda: is_curtain(self.glance("moved").laptop), "the curtain after the move")
            self.pacer.monitors.key("Return")
        end = time.monotonic() + PATIENCE_S
        while seen.laptop is None or not is_private(seen.laptop):
            assert time.monotonic() < end, f"Enter does not lift the curtain: {seen.whole}"
            seen = self.glance("enter")
        self.lifted += 1
        self.walls.append(seen.projector_shot)

    def press(self, key: str, kind: str) -> None:
        """A press of the lesson, which works behind the curtain, too."""
        self.pacer.monitors.key(key)
        self.pressed.append(kind)
        wait_until(lambda: self.presses_noted() == self.pressed, f"the press {key} to be followed")

    def presses_noted(self) -> list[str]:
        """The presses in the day record."""
        beside = ("started", "cued", "screens_changed", "stalled", "gap", "forecasted")
        return [event.body.kind for event in self.pacer.events() if event.body.kind not in beside]
