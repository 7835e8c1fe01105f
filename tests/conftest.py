"""What every test may use: the invented plan and a lesson that runs on a clock moved by hand. No Qt here."""

import gc
import os
from collections.abc import Callable, Generator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from hypothesis import settings

import tests.compiled  # noqa: F401 - before all that is heavy
from pacer.pace.reading import Reading
from pacer.plan.file.reader import read_text
from pacer.plan.outline import Outline
from pacer.run.clock import ManualClock
from pacer.run.refusal import Refusal
from pacer.run.session import Done, MemoryJournal, Session
from pacer.watch import keep_up

# A slow machine is no fault, so no deadline. The usual run takes the same examples each time: what turns red
# is then the change's doing. PACER_EXAMPLES=5000 searches longer, and elsewhere each time.
USUAL_EXAMPLES = 20
examples = int(os.environ.get("PACER_EXAMPLES", USUAL_EXAMPLES))
settings.register_profile(
    "pacer",
    deadline=None,
    print_blob=True,
    max_examples=examples,
    derandomize=examples <= USUAL_EXAMPLES,
    database=None if examples <= USUAL_EXAMPLES else settings.default.database,
)
settings.load_profile("pacer")


def _qt_can_be_loaded() -> bool:
    """Whether Qt's windows and pytest's plugin for them are here, with the system libraries they need."""
    try:
        import PySide6.QtWidgets  # noqa: F401
        import pytestqt.plugin  # noqa: F401
    except ImportError:
        return False
    return True


# Child processes of tests import from this tree, too, and not a package of tests that some library installed.
os.environ["PYTHONPATH"] = os.pathsep.join(
    filter(None, (str(Path(__file__).parents[1]), os.environ.get("PYTHONPATH")))
)

pytest_plugins = ["tests.terms", *(["pytestqt.plugin"] if _qt_can_be_loaded() else [])]

# An invented plan: a mini lesson of 25 minutes from 9:00 in a block of 75.
INVENTED = """
format = 1
title = "Thirds on a number line"
subject = "mathematics"
[block]
minutes = 75
mini_lesson = "25"
[[phase]]
id = "skip"
title = "Skip count"
kind = "warm-up"
budget = "2"
floor = "1"
cut_tier = 1
[[phase]]
id = "review"
title = "Review"
kind = "review"
budget = "3"
floor = "1:30"
cut_tier = 1
movable = "table"
[[phase]]
id = "model"
title = "Model"
kind = "modeling"
budget = "7"
floor = "4"
cut_tier = 2
class_line = "Watch the number line"
second_line = "Mira la recta"
notes = "private: one example only"
[[phase]]
id = "vocabulary"
title = "Vocabulary and talk"
kind = "vocabulary"
budget = "3"
floor = "2"
cut_tier = 2
[[phase.burst]]
length = "0:30"
prompt = "A third is ____ ."
[[phase]]
id = "practice"
title = "Practice"
kind = "guided-practice"
budget = "8"
floor = "6"
cut_tier = 3
[[phase]]
id = "look-back"
title = "Look back"
kind = "look-back"
budget = "2"
floor = "1"
cut_tier = 1
"""


def _day_ms(time: str) -> int:
    """Milliseconds of a clock time (``9:07``, ``9:07:30``) on an invented Monday, in UTC."""
    hours, minutes, *seconds = (int(part) for part in time.split(":"))
    at = datetime(2026, 3, 9, hours, minutes, *(seconds or [0]), tzinfo=UTC)
    return round(at.timestamp() * 1000)


class Lesson:
    """A session on a manual clock that is looked at once a second, as the windows do it."""

    def __init__(self, outline: Outline, start: str = "9:00", late_s: int = 0, offset_s: int = 0,
                 with_cues: bool = False, utc_ms: int | None = None) -> None:  # fmt: skip
        self.clock = ManualClock(_day_ms(start) if utc_ms is None else utc_ms)
        self.journal = MemoryJournal()
        self.session = Session(self.clock, self.journal)
        self.with_cues = with_cues
        planned_ms = self.clock.now().utc_ms - late_s * 1000
        assert isinstance(self.session.start(outline, planned_ms, offset_s), Done)

    @property
    def state(self):
        return self.session.state

    @property
    def now_ms(self) -> int:
        return self.session.now_ms()

    @property
    def reading(self) -> Reading:
        """All that pace says now."""
        return Reading(self.state, self.now_ms)

    def wait_ms(self, ms: int) -> "Lesson":
        """Let time pass, with a look at every second."""
        while ms > 0:
            step = min(ms, 1000)
            self.clock.advance(step)
            if self.with_cues:
                keep_up(self.session)
            else:
                self.session.tick()
            ms -= step
        return self

    def wait(self, seconds: float) -> "Lesson":
        return self.wait_ms(round(seconds * 1000))

    def until(self, time: str) -> "Lesson":
        """Let time pass until the wall clock shows a time."""
        return self.wait_ms(_day_ms(time) - self.clock.now().utc_ms)

    def do(self, command: str, argument: str = "") -> "Lesson":
        """Press something that must be allowed."""
        answer = self.session.do(command, argument)
        assert isinstance(answer, Done), f"{command} {argument}: {answer}"
        return self

    def refused(self, command: str, argument: str = "") -> str:
        """Press something that must be refused; returns the reason."""
        answer = self.session.do(command, argument)
        assert isinstance(answer, Refusal), f"{command} {argument}: {answer}"
        return answer.reason

    def spent(self, phase_id: str) -> float:
        """Phase-clock seconds of a phase until now."""
        index = self.state.plan.index_of(phase_id)
        assert index is not None
        end = self.now_ms if self.state.ended_ms is None else self.state.ended_ms
        return self.state.spent_ms(index, end) / 1000

    def clock_at(self, lesson_ms: int) -> str:
        """A lesson time as a time of day, ``9:13:15``."""
        at = datetime.fromtimestamp((self.state.started_utc_ms + lesson_ms) / 1000, UTC)
        return f"{at.hour}:{at:%M:%S}"


@pytest.fixture(scope="session")
def invented_text() -> str:
    """The invented plan as a file."""
    return INVENTED


@pytest.fixture(scope="session")
def invented() -> Outline:
    """The invented plan."""
    outline = read_text(INVENTED, "invented.toml")
    assert isinstance(outline, Outline), outline
    return outline


@pytest.fixture(scope="session")
def new_lesson(invented: Outline) -> Callable[..., Lesson]:
    """Starts a lesson, of the invented plan unless another outline is given."""

    def start(outline: Outline | None = None, **options) -> Lesson:
        return Lesson(outline or invented, **options)

    return start


@pytest.fixture(scope="session")
def new_outline() -> Callable[..., Outline]:
    """Builds an outline from rows of keys: ``new_outline(dict(budget="3"), mini_lesson="25")``."""

    def build(*phases: dict[str, object], **block: object) -> Outline:
        lines = [
            "format = 1",
            'title = "Made"',
            "[block]",
            *(f"{key} = {_toml(of)}" for key, of in block.items()),
        ]
        for number, phase in enumerate(phases, start=1):
            lines += [
                "[[phase]]",
                *(f"{key} = {_toml(of)}" for key, of in ({"title": f"P{number}"} | phase).items()),
            ]
        outline = read_text("\n".join(lines), "made.toml")
        assert isinstance(outline, Outline), outline
        return outline

    return build


def _toml(value: object) -> str:
    return str(value) if isinstance(value, int) else f'"{value}"'


@pytest.fixture(scope="session")
def templates() -> list[Path]:
    """The lesson templates that come with Pacer."""
    from pacer.paths import template_folder

    return sorted(template_folder().glob("*.toml"))


@pytest.hookimpl(wrapper=True)
def pytest_collection() -> Generator[None, object, object]:
    """What is collected stays to the end: nobody need look through it for garbage again and again."""
    gc.disable()
    result = yield
    gc.freeze()
    gc.enable()
    return result


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_auto_num_workers() -> int | None:
    """One worker more than there are processors: some tests wait for a disk, a process or a second."""
    if "PYTEST_XDIST_AUTO_NUM_WORKERS" in os.environ:
        return None
    return (os.cpu_count() or 1) + 1


# Windows are tried at each size, with each text, in each leg of a lesson; the usual run takes so many cases
# of a test, evenly spread. What is worked out without a window is cheap and tried whole.
USUAL_CASES = 4


def _is_sampled(item: pytest.Item) -> bool:
    is_of_windows = item.path.is_relative_to(item.config.rootpath / "tests" / "qt")
    return is_of_windows and item.get_closest_marker("every_case") is None


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Which cases of a test are for the usual run; no case that is named by hand is left out.

    With PACER_FIRST_CASES only the first of each test: enough to see what a test needs to run.
    """
    if not any("[" in named for named in config.args):
        by_test: dict[str, list[pytest.Item]] = {}
        for item in items:
            by_test.setdefault(item.nodeid.partition("[")[0], []).append(item)
        for cases in by_test.values():
            if len(cases) > USUAL_CASES and _is_sampled(cases[0]):
                usual = {round(n * (len(cases) - 1) / (USUAL_CASES - 1)) for n in range(USUAL_CASES)}
                for at, case in enumerate(cases):
                    if at not in usual:
                        case.add_marker(pytest.mark.slow)
    if "PACER_FIRST_CASES" in os.environ:
        is_slow = config.option.markexpr == "slow"
        asked = [item for item in items if (item.get_closest_marker("slow") is not None) == is_slow]
        firsts = {item.nodeid.partition("[")[0]: item for item in reversed(asked)}
        kept = set(firsts.values())
        config.hook.pytest_deselected(items=[item for item in items if item not in kept])
        items[:] = [item for item in items if item in kept]
