"""Invented charts of every kind, for any number of days; no numbers of real lessons."""

import random
from collections.abc import Callable
from datetime import date, timedelta

from pacer.frames.pictures.chart import (
    Axis,
    AxisSpan,
    Chart,
    ChartBox,
    ChartLine,
    ChartWords,
    Dots,
    LegendKey,
    Table,
)

DAYS = (0, 1, 5, 90, 900)
PHASES = (
    "Skip count",
    "Review",
    "Model",
    "Vocabulary and talk",
    "Practice",
    "Look back",
    "Move",
    "Late start",
)
CAUSES = (
    "Started late",
    "Review",
    "Model an example, then another one",
    "Vocabulary and talk",
    "Move to groups",
)
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def day_words(number: int) -> str:
    day = date(2024, 9, 2) + timedelta(days=number)
    return f"{day.day} {MONTHS[day.month - 1]}"


def about(days: int, name: str, title: str, summary: str) -> dict[str, object]:
    count = "1 lesson" if days == 1 else f"{days} lessons"
    rows = tuple((day_words(n), f"{n % 7}:{n % 60:02}") for n in range(days))
    return {
        "name": name, "title": title, "lessons": days,
        "summary": summary if days else "No lesson yet. After the first one its minutes are shown here.",
        "choice": f"{count} · live · mathematics (invented)", "table": Table(("Day", "Minutes"), rows, (1,)),
    }  # fmt: skip


def day_axis(days: int) -> Axis:
    ticks = tuple((n + 0.5, day_words(n)) for n in range(days))
    return Axis("school day", 0, max(1, days), ticks)


def where_time(days: int) -> Chart:
    """A stacked bar per day: eight parts, two of them hatched, one dotted."""
    chance, boxes = random.Random(1), []
    for day in range(days):
        at = 0.0
        for number in range(8):
            long = max(0.4, chance.gauss(3.2, 1.0))
            tone = ("main", "second", "quiet", "over")[number % 4]
            pattern = "dotted" if number == 5 else "outline" if number == 6 else "filled"
            boxes.append(ChartBox(day + 0.1, day + 0.9, at, at + long, tone, pattern))
            at += long
    highest = max((box.y1 for box in boxes), default=30)
    keys = (
        LegendKey(ChartBox(0, 1, 0, 1), "teaching"),
        LegendKey(ChartBox(0, 1, 0, 1, "second"), "children talk"),
        LegendKey(ChartBox(0, 1, 0, 1, "quiet"), "moves"),
        LegendKey(ChartBox(0, 1, 0, 1, "over"), "over the budget"),
        LegendKey(ChartBox(0, 1, 0, 1, "second", "dotted"), "practice"),
        LegendKey(ChartBox(0, 1, 0, 1, "quiet", "outline"), "lost"),
    )  # fmt: skip
    words = "Teaching took 9:40 a day, a little more than a third of the mini lesson."
    return Chart(**about(days, "where_time", "Where did the time go?", words), x=day_axis(days),
                 y=Axis("minutes", 0, highest * 1.05), boxes=tuple(boxes), keys=keys)  # fmt: skip


def late_steps(days: int) -> Chart:
    """A step-down that adds up, its places named."""
    parts, boxes, lines, words, at = (1.3, 2.1, 1.0, 0.6, 0.5), [], [], [], 0.0
    for number, part in enumerate(parts if days else ()):
        tone = "over" if number == 1 else "main"
        boxes.append(ChartBox(number + 0.15, number + 0.85, at, at + part, tone))
        at += part
        lines.append(ChartLine(((number + 0.15, at), (number + 1.85, at)), "dotted", "quiet"))
        words.append(ChartWords(number + 0.5, at + 0.3, f"{int(part)}:{round(part % 1 * 60):02}", "centre"))
    if days:
        boxes.append(ChartBox(5.15, 5.85, 0, at, "quiet"))
        words.append(ChartWords(5.5, at + 0.3, "5:30", "centre"))
    names = (*CAUSES, "Groups started late")
    return Chart(**about(days, "late_steps", "Why did groups start late?",
                         "Groups started 5:30 late: review 2:06, the start 1:18, the rest 2:06."),
                 x=Axis("", 0, 6, tuple((n + 0.5, name) for n, name in enumerate(names))),
                 y=Axis("minutes late", 0, 6.5, tuple((n, f"{n}:00") for n in range(7)), upside_down=False),
                 boxes=tuple(boxes), lines=tuple(lines), words=tuple(words),
                 keys=(LegendKey(ChartBox(0, 1, 0, 1, "over"), "over its cap"),
                       LegendKey(ChartBox(0, 1, 0, 1), "minutes given away"),
                       LegendKey(ChartBox(0, 1, 0, 1, "quiet"), "all together")))  # fmt: skip


def over_usually(days: int) -> Chart:
    """Dots by row with names, one of them long; rings where the end is not known."""
    chance = random.Random(2)
    rows = (*PHASES[:7], "A very long name for a phase that a teacher typed in one evening in autumn")
    done, cut, late = [], [], []
    for _day in range(days):
        for row in range(len(rows)):
            value = chance.lognormvariate(0.05, 0.25)
            (cut if chance.random() < 0.1 else late if value > 1.5 else done).append(
                (value, row + chance.uniform(-0.22, 0.22))
            )
    return Chart(**about(days, "over_usually", "Which phase runs over, usually?",
                         "Review: in 5 of 8 lessons over its budget, half of the time by 1:40 or more."),
                 x=Axis("time taken over budget", 0, 2.5, tuple((n / 2, f"{n * 50} %") for n in range(6))),
                 y=Axis("", -0.5, 7.5, tuple(enumerate(rows)), upside_down=True),
                 dots=tuple(d for d in (Dots(tuple(done)), Dots(tuple(cut), "ring", "second"),
                                        Dots(tuple(late), "triangle", "over")) if d.points),
                 lines=(ChartLine(((1, -0.5), (1, 7.5)), "dashed", "quiet"),) if days else (),
                 keys=(LegendKey(Dots(((0, 0),)), "done"),
                       LegendKey(Dots(((0, 0),), "ring", "second"), "cut off: at least so long"),
                       LegendKey(Dots(((0, 0),), "triangle", "over"), "half as long again, or more"),
                       LegendKey(ChartLine(((0, 0), (1, 0)), "dashed", "quiet"), "the budget")))  # fmt: skip


def how_long(days: int) -> Chart:
    """A survival curve in steps with a line at the budget and its range shaded."""
    chance = random.Random(3)
    ends = sorted(chance.lognormvariate(1.9, 0.3) for _day in range(days))
    curve = [(0.0, 1.0)] + [(end, 1 - (n + 1) / days) for n, end in enumerate(ends)]
    percent = tuple((n / 4, f"{n * 25} %") for n in range(5))
    lines = (ChartLine(tuple(curve), steps=True), ChartLine(((6, 0), (6, 1)), "dashed", "over"))
    return Chart(**about(days, "how_long", "How long does modeling really take?",
                         "You wrote 6:00. Half of the lessons were done by 6:40, nine of ten by 9:50."),
                 x=Axis("minutes since the phase began", 0, 20),
                 y=Axis("share of lessons still going", 0, 1, percent),
                 lines=lines if days else (),
                 spans=(AxisSpan(5.5, 8.2),), words=(ChartWords(6, 0.94, "budget 6:00"),),
                 keys=(LegendKey(ChartLine(((0, 0), (1, 1)), steps=True), "still going"),
                       LegendKey(ChartLine(((0, 0), (1, 1)), "dashed", "over"), "your budget"),
                       LegendKey(AxisSpan(0, 1), "half of all lessons end here")))  # fmt: skip


def lost_minutes(days: int) -> Chart:
    """Groups by days: a box in each cell, as high as the minutes lost."""
    chance, boxes = random.Random(4), []
    groups = ("Circle", "Square", "Triangle", "Star")
    for day in range(days):
        for row in range(4):
            lost = max(0.0, chance.gauss(3, 3))
            if lost:
                foot, tone = row + 0.42, "over" if lost > 6 else "main"
                top, open_end = foot - 0.08 * min(10, lost), chance.random() < 0.05
                boxes.append(ChartBox(day + 0.08, day + 0.92, foot, top, tone, open_end=open_end))
    return Chart(**about(days, "lost_minutes", "Who lost minutes at the table?",
                         "Star lost most: 41 minutes, 14 more than Circle, which lost least."),
                 x=day_axis(days), y=Axis("group", -0.5, 3.5, tuple(enumerate(groups)), upside_down=True),
                 boxes=tuple(boxes),
                 keys=(LegendKey(ChartBox(0, 1, 0, 1), "minutes lost"),
                       LegendKey(ChartBox(0, 1, 0, 1, "over"), "more than 6"),
                       LegendKey(ChartBox(0, 1, 0, 1, open_end=True), "at least so many")))  # fmt: skip


def talk_share(days: int) -> Chart:
    """A ribbon of the newest lesson: who talks when."""
    chance, boxes, at, row = random.Random(5), [], 0.0, 0
    while days and at < 25:
        long = chance.uniform(0.4, 4)
        tone = ("main", "second", "quiet")[row % 3]
        boxes.append(ChartBox(at, min(25, at + long), 0.2, 0.8, tone, "filled", at + long >= 25))
        at, row = at + long, row + 1
    return Chart(**about(days, "talk_share", "How much did I talk, and when longest?",
                         "You talked for 11 to 13 of 25 minutes; the longest stretch was 3:50, in modeling."),
                 x=Axis("minutes since the start", 0, 25), y=Axis("", 0, 1, ((0.5, "last lesson"),)),
                 boxes=tuple(boxes), words=(ChartWords(11, 0.9, "longest: 3:50", "centre"),),
                 keys=(LegendKey(ChartBox(0, 1, 0, 1), "teacher"),
                       LegendKey(ChartBox(0, 1, 0, 1, "second"), "children"),
                       LegendKey(ChartBox(0, 1, 0, 1, "quiet"), "mixed")))  # fmt: skip


def improving(days: int) -> Chart:
    """Single values with limits and a shaded baseline; the axis goes below zero."""
    chance = random.Random(6)
    values = [(day + 0.5, chance.gauss(3, 1.6)) for day in range(days)]
    limits = (
        tuple(ChartLine(((0, y), (max(1, days), y)), "dashed", "quiet") for y in (-1.8, 7.8)) if days else ()
    )
    ends = tuple(
        ChartWords(days, y, words, "right") for y, words in ((-1.8, "limit −1:48"), (7.8, "limit 7:48"))
    )
    mean = ChartLine(((0, 3), (max(1, days), 3)), tone="quiet")
    return Chart(**about(days, "improving", "Is it getting better?",
                         "No change by the rule: no seven lessons in a row on one side."),
                 x=day_axis(days), y=Axis("minutes late", -3, 10), words=ends,
                 lines=(ChartLine(tuple(values), tone="second"), mean, *limits) if days else (),
                 dots=(Dots(tuple(values)), Dots(tuple(values[::17]), "square", "over")) if days else (),
                 spans=(AxisSpan(0, days / 5),) if days else (),
                 keys=(LegendKey(Dots(((0, 0),)), "a lesson"),
                       LegendKey(Dots(((0, 0),), "square", "over"), "flagged"),
                       LegendKey(ChartLine(((0, 0), (1, 0)), tone="quiet"), "mean"),
                       LegendKey(ChartLine(((0, 0), (1, 0)), "dashed", "quiet"), "limits"),
                       LegendKey(AxisSpan(0, 1), "baseline: weeks without warnings")))  # fmt: skip


def odds_truth(days: int) -> Chart:
    """Calibration: dots beside a diagonal, ranges as thin boxes."""
    chance = random.Random(7)
    dots = [
        (n / 10 + 0.05, min(1, max(0, n / 10 + 0.05 + chance.gauss(0, 0.08)))) for n in range(min(10, days))
    ]
    percent = tuple((n / 5, f"{n * 20} %") for n in range(6))
    ranges = tuple(
        ChartBox(x - 0.006, x + 0.006, max(0, y - 0.12), min(1, y + 0.12), "quiet") for x, y in dots
    )
    diagonal = ChartLine(((0, 0), (1, 1)), "dashed", "quiet")
    return Chart(**about(days, "odds_truth", "Did the odds tell the truth?",
                         "Of 30 times when the odds said 70 to 80 %, groups started on time 23 times."),
                 x=Axis("odds that were told", 0, 1, percent), y=Axis("came true", 0, 1, percent),
                 boxes=ranges,
                 dots=(Dots(tuple(dots)),) if dots else (),
                 lines=(diagonal,) if dots else (),
                 keys=(LegendKey(Dots(((0, 0),)), "lessons with these odds"),
                       LegendKey(diagonal, "odds that tell the truth")))  # fmt: skip


KINDS: dict[str, Callable[[int], Chart]] = {
    made.__name__: made
    for made in (
        where_time,
        late_steps,
        over_usually,
        how_long,
        lost_minutes,
        talk_share,
        improving,
        odds_truth,
    )
}
