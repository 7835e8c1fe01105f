"""The demo where there is no screen: the same main job at speed, in words and pictures."""

import tempfile
from pathlib import Path

from pacer.frames.desk import desk_frame
from pacer.frames.record import record
from pacer.frames.wall import wall_frame
from pacer.log.database import LogError
from pacer.log.day_records import DayRecords
from pacer.paths import template_folder
from pacer.plan.durations import format_duration
from pacer.plan.file.reader import read_outline
from pacer.plan.outline import Outline
from pacer.run.clock import Clock, ManualClock
from pacer.run.fold import fold
from pacer.run.session import JournalError, Session
from pacer.settings.folders import folders
from pacer.settings.outline_shelf import copy_to_own
from pacer.settings.whole_file import write_whole
from pacer.text import _
from pacer.verbs.console import refuse, say
from pacer.verbs.display import qt_complaint
from pacer.verbs.invented_days import write_invented_days
from pacer.verbs.picture import PaintFrame
from pacer.verbs.tables import record_lines
from pacer.watch import keep_up, look

DEMO_OUTLINE = "number-line-75.toml"

# Invented: seconds from the start and what the teacher pressed then.
DEMO_PRESSES = (
    (128, "next", "done"), (330, "next", "moved-on"), (515, "example", ""), (640, "voice", ""),
    (760, "next", "done"), (800, "burst", ""), (835, "eyes-back", ""), (930, "next", "done"),
    (1120, "tally", "3"), (1405, "next", "moved-on"), (1510, "groups", ""),
    (1655, "next", ""), (2430, "next", ""), (2515, "next", ""), (2600, "missed", ""),
    (3585, "jump", "group 1"), (4140, "next", ""), (4430, "next", ""), (4490, "bell-now", ""),
)  # fmt: skip
PICTURES_AT_S = {700: "", 2000: "-visit"}  # in the mini lesson and in the first visit


def load_demo_outlines() -> list[Outline]:
    """The outlines that ship, the demo lesson first."""
    paths = sorted(template_folder().glob("*.toml"), key=lambda path: (path.name != DEMO_OUTLINE, path.name))
    return [outline for path in paths if isinstance(outline := read_outline(path), Outline)]


def fill_demo_folder(data: Path, clock: Clock) -> DayRecords:
    """Templates copied as the teacher's own and some thirty invented day records."""
    copy_to_own(template_folder() / DEMO_OUTLINE, folders(data).outlines)
    records = DayRecords.open(data)
    write_invented_days(records, load_demo_outlines(), until_utc_ms=clock.now().utc_ms, foreseen=True)
    return records


def headless_demo(paint: PaintFrame, clock: Clock) -> int:
    """Run the demo lesson on the real engine, log it, print planned over actual and paint both windows."""
    say(_("No screen here, so the demo runs at speed. All of it is invented."))
    try:
        _show_demo(paint, clock)
    except (LogError, JournalError, OSError) as error:
        return refuse(_("The demo stopped: {reason}", reason=error), 2)
    return 0


def _show_demo(paint: PaintFrame, clock: Clock) -> None:
    outline = load_demo_outlines()[0]
    pictures = Path(tempfile.mkdtemp(prefix="pacer-demo-"))  # for its owner only
    with (
        tempfile.TemporaryDirectory(prefix="pacer-demo-data-") as data,
        fill_demo_folder(Path(data), clock) as records,
    ):
        earlier = len(records.runs())
        _run_lesson(records, outline, pictures, paint, clock.now().utc_ms)
        latest = records.runs()[0]
        events = records.events(latest.id)
        say(_("Day record {run} of {count}, read back from disk:", run=latest.id, count=earlier + 1))
        say("", *record_lines(record(fold(events), events[-1].t_ms)))


def _run_lesson(
    records: DayRecords, outline: Outline, pictures: Path, paint: PaintFrame, now_ms: int
) -> None:
    clock = ManualClock(now_ms - now_ms % 86_400_000 + 9 * 3_600_000)
    session = Session(clock, records.journal())
    session.start(outline, mode="demo")
    presses = list(DEMO_PRESSES)
    while session.state.is_running and session.now_ms() < outline.block.length_s * 1000:
        clock.advance(1000)
        keep_up(session)
        second = session.now_ms() // 1000
        while presses and presses[0][0] <= second:
            _at, command, argument = presses.pop(0)
            session.do(command, argument)
        if second in PICTURES_AT_S:
            _paint(session, pictures, paint, second)


def _paint(session: Session, pictures: Path, paint: PaintFrame, at_s: int) -> None:
    complaint = qt_complaint(painting_only=True)
    if complaint:
        if at_s == min(PICTURES_AT_S):
            say(_("No pictures: {reason}", reason=complaint))
        return
    name = PICTURES_AT_S[at_s]
    wall_path, desk_path = pictures / f"wall{name}.png", pictures / f"desk{name}.png"
    reading = look(session)
    for path, frame in ((wall_path, wall_frame(reading)), (desk_path, desk_frame(reading))):
        write_whole(path, paint(frame, 1920, 1080))
    at = format_duration(at_s)
    say(_("The Wall at {at} is painted in {path}", at=at, path=wall_path))
    say(_("The Desk at {at} is painted in {path}", at=at, path=desk_path))
