"""What was taken while it is looked at, without a window: rows, corrections, undo, and what is kept."""

from collections.abc import Callable
from pathlib import Path

import pytest

from pacer.editing.taken_lesson import KEEP_MS, TakenLesson
from pacer.plan.taken.taken import Taken, TakenPart
from pacer.run.clock import ManualClock
from pacer.settings.taken_store import TakenStore
from tests.editing.test_outline_editor import HandTimer

LINE_1 = '{"line": 1, "say": null, "is_seen": false'
LESSON = "Thirds on a number line\nWarm-up 5 min\nbring the strips\nModel about 7\nTalk\n"


class Bench:
    """A lesson that is looked at, over one folder; the test is its clock and its timer."""

    def __init__(self, folder: Path) -> None:
        self.clock = ManualClock(1_700_000_000_000)
        self.timers: list[tuple[int, HandTimer]] = []
        self.changes = 0
        self.lesson = TakenLesson(
            TakenStore(folder / "data", self.clock, folder / "else"), self.timer, self.on
        )

    def timer(self, ms: int, then: Callable[[], None]) -> HandTimer:
        self.timers.append((ms, HandTimer(then)))
        return self.timers[-1][1]

    def on(self) -> None:
        self.changes += 1

    def rows(self) -> list[tuple[str, str]]:
        return [(row.what, row.words) for row in self.lesson.reading.rows]

    def at(self, words: str) -> int:
        return next(at for at, row in enumerate(self.lesson.reading.rows) if words in row.raw)

    def row(self, words: str):
        return self.lesson.reading.rows[self.at(words)]


def bench(folder: Path, text: str = LESSON) -> Bench:
    made = Bench(folder)
    made.lesson.type(text)
    return made


def test_each_line_has_a_row_that_says_what_it_is_read_as(tmp_path):
    at = bench(tmp_path)
    assert [row.number for row in at.lesson.reading.rows] == [1, 2, 3, 4, 5]
    assert at.lesson.reading.title == "Thirds on a number line"
    assert (at.row("Warm-up").what, at.row("Warm-up").phase.seconds) == ("phase", 300)


def test_a_line_of_several_phases_has_a_row_for_each(tmp_path):
    at = bench(tmp_path, "Read: Warm-up 5 min; Model 7 min; Share 3 min\nClean up 2\n")
    rows = at.lesson.reading.rows
    assert [(row.number, row.nth, row.words) for row in rows] == [
        (1, 0, "Warm-up"),
        (1, 1, "Model"),
        (1, 2, "Share"),
        (2, 0, "Clean up"),
    ]
    at.lesson.set_minutes(rows[1], "9")
    assert [phase.seconds for phase in at.lesson.reading.phases] == [300, 540, 180, 120]


def test_one_tap_makes_a_line_a_phase_a_note_the_title_or_nothing_and_undo_takes_it_back(tmp_path):
    at = bench(tmp_path)
    before = at.rows()
    at.lesson.say([3], "phase")
    assert at.row("strips").phase.title == "bring the strips"
    assert at.row("strips").doubt == "How many minutes?"
    at.lesson.set_minutes(at.row("strips"), "2:30")
    assert (at.row("strips").phase.seconds, at.row("strips").doubt) == (150, "")
    at.lesson.say([4], "note")
    assert at.row("Model").what == "note"
    assert "Model about 7" in at.row("strips").phase.notes
    at.lesson.say([2], "title")
    assert at.lesson.reading.title == "Warm-up 5 min"
    assert at.row("Thirds").what in ("left out", "note", "phase")
    at.lesson.say([2], "leave out")
    assert (at.row("Warm-up").what, at.lesson.reading.title) == ("left out", "Thirds on a number line")
    while at.lesson.can_undo:
        at.lesson.undo()
        if at.lesson.text == LESSON and not at.lesson.rulings:
            break
    assert at.rows() == before


def test_a_row_of_a_table_that_is_left_out_leaves_the_others_as_they_were(tmp_path):
    table = "Phase\tMin\nWarm-up\t5\nRecess\t20\nModel\t7\n"
    at = bench(tmp_path, table)
    at.lesson.say([3], "leave out")
    assert [row.number for row in at.lesson.reading.rows] == [1, 2, 3, 4]
    at.lesson.say_right([4])
    assert [(phase.title, phase.seconds) for phase in at.lesson.reading.phases] == [
        ("Warm-up", 300),
        ("Model", 420),
    ]


def test_a_doubt_goes_when_she_says_that_it_is_right_or_changes_the_row(tmp_path):
    at = bench(tmp_path, "Warm-up 5 -> Model 7\nTalk\n")
    first = at.lesson.reading.doubts
    assert first
    for place in first:
        at.lesson.say_right([at.lesson.reading.rows[place].number])
    assert [at.lesson.reading.rows[place].doubt for place in at.lesson.reading.doubts] in (
        [],
        ["How many minutes?"],
    )


def test_kind_and_title_are_written_and_wrong_minutes_are_told(tmp_path):
    at = bench(tmp_path)
    at.lesson.set_kind(at.row("Model"), "review")
    at.lesson.set_title(at.row("Model"), "Look  again")
    phase = at.row("Model").phase
    assert (phase.title, phase.kind) == ("Look again", "review")
    assert at.lesson.set_minutes(at.row("Model"), "soon")
    assert at.lesson.set_minutes(at.row("Model"), "0")


def test_what_comes_of_it_reads_back_to_the_same_phases(tmp_path):
    at = bench(tmp_path)
    at.lesson.set_minutes(at.row("Talk"), "4")
    at.lesson.set_kind(at.row("Model"), "other")
    sheet = at.lesson.sheet()
    assert sheet.title == "Thirds on a number line"
    assert [(phase.title, phase.budget) for phase in sheet.phases] == [
        (phase.title, str((phase.seconds or 0) // 60)) for phase in at.lesson.reading.phases
    ]
    assert at.lesson.sum_words().startswith(f"{len(sheet.phases)} phases")
    assert at.lesson.fit_words()


def test_what_was_said_of_a_line_holds_while_other_lines_are_typed(tmp_path):
    at = bench(tmp_path)
    at.lesson.say([3], "leave out")
    at.lesson.type("One more 1\n" + LESSON)
    assert at.row("strips").what == "left out"
    assert at.row("strips").number == 4


def test_another_sheet_is_chosen_and_undo_comes_back(tmp_path):
    at = Bench(tmp_path)
    at.lesson.take(Taken((TakenPart("Mon", "Warm-up 5"), TakenPart("Tue", "Share 3"))), "plan.xlsx")
    at.lesson.choose_part(1)
    assert [phase.title for phase in at.lesson.reading.phases] == ["Share"]
    at.lesson.undo()
    assert [phase.title for phase in at.lesson.reading.phases] == ["Warm-up"]


def test_what_is_typed_and_said_is_on_disk_a_quarter_of_a_second_later_and_found_again(tmp_path):
    at = bench(tmp_path)
    at.lesson.say([3], "leave out")
    at.lesson.set_minutes(at.row("Talk"), "4")
    assert at.timers[0][0] == KEEP_MS
    at.timers[0][1].run_out()
    # The program is killed here; another one begins.
    again = Bench(tmp_path)
    assert again.lesson.find_kept()
    assert again.lesson.reading == at.lesson.reading
    again.lesson.done()
    assert not Bench(tmp_path).lesson.find_kept()


def test_what_is_kept_and_makes_no_sense_is_not_taken_up(tmp_path):
    store = TakenStore(tmp_path / "data", ManualClock(1_700_000_000_000), tmp_path / "else")
    for text in ("[]", "{", '{"text": 1}', '{"text": "a", "origin": "", "rulings": [{"line": "x"}]}'):
        store.keep(text)
        assert not Bench(tmp_path).lesson.find_kept()


@pytest.mark.parametrize(
    "ruling",
    [
        '{"line": 1e400, "say": null, "is_seen": false, "changes": []}',
        '{"line": -1, "say": "title", "is_seen": false, "changes": []}',
        '{"line": 0, "say": "note", "is_seen": false, "changes": []}',
        f'{LINE_1}, "changes": [[0, {{"title": null, "seconds": -5, "kind": null}}]]}}',
        f'{LINE_1}, "changes": [[0, {{"title": "", "seconds": Infinity, "kind": 1}}]]}}',
    ],
)
def test_rulings_that_nobody_made_stop_no_start(tmp_path, ruling):
    kept = Bench(tmp_path)
    TakenStore(tmp_path / "data", kept.clock, tmp_path / "else").keep(
        f'{{"text": "Review 3", "origin": "", "rulings": [{ruling}]}}'
    )
    kept.lesson.find_kept()
    assert all((phase.seconds or 1) > 0 for phase in kept.lesson.reading.phases)
    assert kept.lesson.sum_words()
