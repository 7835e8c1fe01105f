"""Budgets being accepted without a window: what is proposed, written, noted, given back, and left alone."""

import os
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from pacer.editing.accept_budget import NotAcceptedError
from pacer.editing.budget_offer import Acceptance, BudgetOffer, newest
from pacer.log.accepted import KIND_TABLE
from pacer.log.database import UnwritableFolder
from pacer.log.day_records import DayRecords
from pacer.log.imported import ImportedEnding
from pacer.plan.file.reader import read_outline
from pacer.plan.kinds import KindChange
from pacer.plan.outline import Outline, Phase
from pacer.review.choice import LIVE
from pacer.review.learning.budgets import SortedPast
from pacer.review.learning.past_endings import history
from pacer.run.clock import ManualClock
from pacer.settings.draft_store import DraftStore
from pacer.settings.recovery import Recovery

NOW_MS = 1_773_070_200_000  # in March 2026
FLOOR = 'budget = "3"\nfloor = "1:30"'


class Bench:
    """An offer over one folder, and the table of kinds that it changes."""

    def __init__(self, folder: Path, records: DayRecords) -> None:
        self.folder, self.records = folder, records
        self.clock = ManualClock(NOW_MS)
        self.kinds: dict[str, KindChange] = {}
        self.offer = BudgetOffer(
            records, self.past, folder / "outlines", self.clock, lambda: self.kinds, LIVE
        )
        self.target = str(self.file)
        self.look()

    def past(self) -> SortedPast:
        return SortedPast(history(self.records).endings)

    def look(self) -> None:
        self.offer.reload()
        self.offer.look(self.target)

    @property
    def file(self) -> Path:
        return self.folder / "outlines" / "thirds.toml"

    @property
    def noted(self) -> list[tuple[str, str, int, int]]:
        return [(one.target, one.kind, one.old_s, one.new_s) for one in self.records.accepted().all()]

    def accept(self, title: str = "Review") -> Acceptance:
        done = self.offer.accept(next(row for row in self.offer.proposals if row.title == title))
        return self._after(done)

    def give_back(self) -> Acceptance:
        """Give back what was accepted last."""
        return self._after(self.offer.give_back(self.offer.accepted[0].id))

    def _after(self, done: Acceptance) -> Acceptance:
        if done.kinds is not None:
            self.kinds = dict(done.kinds)
        self.offer.look(self.target)
        return done

    def phase(self, name: str = "review") -> Phase:
        outline = read_outline(self.file)
        assert isinstance(outline, Outline), outline
        return next(each for each in outline.phases if each.id == name)


@pytest.fixture
def new_bench(tmp_path, invented, invented_text) -> Iterator[Callable[..., Bench]]:
    """Makes an offer after fifteen imported lessons in which every phase took 1.24 of its budget."""
    made: list[Bench] = []

    def build(text: str = invented_text) -> Bench:
        (tmp_path / "outlines").mkdir()
        (tmp_path / "outlines" / "thirds.toml").write_bytes(text.encode())
        records = DayRecords.open(tmp_path)
        rows = [
            ImportedEnding(f"2025-09-{day:02d}", phase.id, phase.kind, phase.budget_s, 1.24 * phase.budget_s,
                           "done")
            for day in range(1, 16) for phase in invented.phases
        ]  # fmt: skip
        records.imported().add(rows, "old.csv", "aa", 1)
        made.append(Bench(tmp_path, records))
        return made[-1]

    yield build
    for bench in made:
        bench.records.close()


@pytest.fixture
def bench(new_bench) -> Bench:
    return new_bench()


def test_looking_changes_nothing_and_an_acceptance_one_phase_and_one_note(bench, invented_text) -> None:
    """1.24 x 3 minutes, to the nearest 15 s: 3:45."""
    assert (bench.file.read_text(), bench.noted) == (invented_text, [])
    done = bench.accept()
    assert bench.file.read_text() == invented_text.replace(FLOOR, FLOOR.replace('"3"', '"3:45"'))
    assert bench.noted == [("thirds.toml", "review", 180, 225)]
    assert (done.outline, done.kinds) == (bench.file, None)
    assert done.said == "Thirds on a number line: Review has 3:45 now; it had 3:00."


def test_the_same_lessons_propose_no_more_for_what_was_accepted_already(bench) -> None:
    bench.accept()
    row = next(row for row in bench.offer.proposals if row.title == "Review")
    assert (row.accept, row.old_s) == ("", 225)
    assert bench.offer.whole.startswith("By past lessons these phases need 31:15;")


def test_the_earlier_version_is_kept(bench, invented_text) -> None:
    bench.accept()
    store = DraftStore(bench.folder, bench.clock)
    (version,) = store.versions(bench.file)
    assert store.version_text(version).text == invented_text


def test_comments_layout_and_line_ends_of_the_file_stay(new_bench, invented_text) -> None:
    odd = "# Mine. Don't tidy.\n" + invented_text.replace(
        FLOOR, 'budget   = 3   # too short?\nfloor = "1:30"'
    )
    odd = odd.replace("\n", "\r\n")
    bench = new_bench(odd)
    bench.accept()
    assert bench.file.read_bytes().decode() == odd.replace("budget   = 3 ", 'budget   = "3:45" ')


def test_a_floor_above_the_new_budget_comes_down_with_it_and_that_is_said(new_bench, invented_text) -> None:
    """A floor as long as the budget; it is raised after the acceptance, and the budget then given back."""
    bench = new_bench(invented_text.replace(FLOOR, 'budget = "3"\nfloor = "3"'))
    bench.accept()
    assert bench.phase().budget_s == 225
    bench.file.write_text(bench.file.read_text().replace('floor = "3"', 'floor = "3:30"'))
    bench.look()
    done = bench.give_back()
    assert (bench.phase().budget_s, bench.phase().floor_s) == (180, 180)
    assert "Its floor was 3:30 and came down to 3:00" in done.said


def test_a_cap_below_the_new_budget_is_said_and_left(new_bench, invented_text) -> None:
    bench = new_bench(invented_text.replace('id = "practice"', 'id = "practice"\ncap = "9"'))
    done = bench.accept("Practice")
    assert bench.phase("practice").budget_s == 600
    assert "Its cap is still 9:00" in done.said


def test_giving_back_is_one_more_note_and_the_file_is_as_it_was(bench, invented_text) -> None:
    bench.accept()
    bench.give_back()
    assert bench.file.read_text().replace('"3:00"', '"3"') == invented_text
    assert bench.noted == [("thirds.toml", "review", 180, 225), ("thirds.toml", "review", 225, 180)]
    assert [bool(row.give_back) for row in bench.offer.accepted] == [True, False]


def test_giving_back_what_stands_already_or_a_phase_that_is_gone_is_told(bench, invented_text) -> None:
    bench.accept()
    bench.file.write_text(invented_text)
    with pytest.raises(NotAcceptedError, match="Review has 3:00 already"):
        bench.give_back()
    bench.file.write_text(invented_text.replace('id = "review"', 'id = "other-review"'))
    with pytest.raises(NotAcceptedError, match=r"thirds\.toml has no phase review any more"):
        bench.give_back()
    bench.file.unlink()
    with pytest.raises(NotAcceptedError, match=r"thirds\.toml"):
        bench.give_back()
    assert len(bench.noted) == 1


# --- the table of kinds


def test_a_kind_takes_its_budget_and_keeps_what_else_was_changed_of_it(bench) -> None:
    bench.kinds = {"review": KindChange(talk="quiet"), "modeling": KindChange(budget_s=600)}
    bench.target = KIND_TABLE
    bench.offer.choose(KIND_TABLE)
    done = bench.accept("review")
    assert done.kinds == {
        "review": KindChange(talk="quiet", budget_s=225), "modeling": KindChange(budget_s=600),
    }  # fmt: skip
    assert bench.noted == [("kinds", "review", 180, 225)]
    done = bench.give_back()
    assert done.kinds == {"review": KindChange(talk="quiet"), "modeling": KindChange(budget_s=600)}


def test_a_kind_of_which_nothing_is_changed_any_more_is_none_of_the_changes(bench) -> None:
    bench.target = KIND_TABLE
    bench.offer.choose(KIND_TABLE)
    assert list(bench.accept("warm-up").kinds or ()) == ["warm-up"]
    assert bench.give_back().kinds == {}


# --- nothing is lost


def refused(bench: Bench, kind: type[Exception] = NotAcceptedError) -> str:
    """Accept what will not be, and see that neither the file nor the notes changed."""
    before = bench.file.read_bytes()
    with pytest.raises(kind) as told:
        bench.accept()
    assert (bench.file.read_bytes(), bench.noted) == (before, [])
    return str(told.value)


def test_a_file_changed_since_it_was_read_is_left_alone(bench, invented_text) -> None:
    bench.file.write_text(invented_text.replace(FLOOR, FLOOR.replace('"3"', '"4"')))
    assert "was changed, moved or deleted" in refused(bench)
    assert sorted(path.name for path in bench.file.parent.iterdir()) == ["thirds.toml"]


def test_a_read_only_file_is_left_alone(bench) -> None:
    bench.file.chmod(0o444)
    assert "the file is marked as read-only" in refused(bench)
    assert Recovery(bench.folder / "drafts").all() == [], "nobody typed anything"


def test_a_full_disk_is_told_and_not_noted(bench, monkeypatch) -> None:
    def full(*_names: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.replace", full)
    assert "the disk is full" in refused(bench)


def test_day_records_that_cannot_be_written_leave_the_outline_alone(bench) -> None:
    bench.records.can_write, bench.records.notice = False, "The folder is read-only."
    assert refused(bench, UnwritableFolder) == "The folder is read-only."


def test_typing_that_was_never_saved_is_not_passed_over(bench, invented_text) -> None:
    typed = invented_text.replace("Review", "Retell")
    Recovery(bench.folder / "drafts").keep(bench.file, typed, "stamp", 1)
    assert "thirds.toml has typing that isn't saved yet" in refused(bench)
    assert [kept.text for kept in Recovery(bench.folder / "drafts").all()] == [typed]


def test_a_broken_outline_is_told_and_the_next_one_chosen_is_read(bench) -> None:
    broken = bench.file.with_name("broken.toml")
    broken.write_text("budget = [")
    bench.offer.choose(str(broken))
    assert "broken.toml can't be edited here." in bench.offer.trouble
    assert (bench.offer.proposals, bench.offer.whole) == ([], "")
    bench.offer.choose(str(bench.file))
    assert (bench.offer.trouble, len(bench.offer.proposals)) == ("", 6)


def test_notes_that_cannot_be_read_are_told_and_hide_no_proposal(bench) -> None:
    bench.records.connection.execute("DROP TABLE accepted_budget")
    bench.offer.look(bench.target)
    assert "can't be used" in bench.offer.trouble
    assert len(bench.offer.proposals) == 6


def test_the_outline_saved_last_is_offered_first_and_without_outlines_the_table_of_kinds(bench) -> None:
    other = bench.file.with_name("a.toml")
    other.write_text("")
    os.utime(other, (1, 1))
    assert bench.offer.outlines() == {other: "a", bench.file: "Thirds on a number line"}
    assert newest([bench.file.with_name("gone.toml"), bench.file, other]) == str(bench.file)
    assert newest([]) == KIND_TABLE
    bench.file.parent.rename(bench.folder / "moved")
    assert bench.offer.outlines() == {}


def test_outlines_of_one_title_are_told_apart_by_their_files(bench) -> None:
    bench.file.with_name("again.toml").write_text(bench.file.read_text())
    bench.look()
    title = "Thirds on a number line"
    assert list(bench.offer.outlines().values()) == [f"{title} (again)", f"{title} (thirds)"]
    assert bench.accept().said.startswith(f"{title} (thirds): ")
    assert bench.offer.accepted[0].cells[1] == f"Review in {title} (thirds)"
