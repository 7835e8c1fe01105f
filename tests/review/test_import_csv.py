"""Reading tables of past durations: sound ones whole, others with every problem and its line."""

import csv
import io
import math
import random
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pacer.log.imported import ImportedEnding
from pacer.plan.kinds import KINDS
from pacer.plan.problems import Problem
from pacer.review import import_csv
from pacer.review.import_csv import COLUMNS, ENDINGS, read_bytes, read_text

HEAD = "date,phase,kind,planned_s,actual_s,ending\n"
GOOD = "2025-09-01,warm-up,warm-up,120,150,done\n"
FIRST = ImportedEnding("2025-09-01", "warm-up", "warm-up", 120.0, 150.0, "done")


def problems(text: str, today: date | None = None) -> list[str]:
    found = read_text(text, "old.csv", today)
    assert all(isinstance(one, Problem) for one in found), found
    return [str(one) for one in found]


def the_problem(row: str) -> str:
    """The only problem of a table in which a good row comes before this one."""
    (found,) = problems(HEAD + GOOD + row)
    return found


def test_a_sound_table_is_read_whole():
    text = HEAD + GOOD + "2025-09-02,number line,Modeling,420,433.5,Moved On\n"
    assert read_text(text, "old.csv") == [
        FIRST,
        ImportedEnding("2025-09-02", "number line", "modeling", 420.0, 433.5, "moved on"),
    ]


@pytest.mark.parametrize("bom", [b"", b"\xef\xbb\xbf"])
@pytest.mark.parametrize("end", [b"\n", b"\r\n", b"\r"])
def test_a_byte_order_mark_and_any_line_end_change_nothing(bom, end):
    data = bom + (HEAD + "\n" + GOOD).encode().replace(b"\n", end)
    assert read_bytes(data, "old.csv") == [FIRST]


def test_columns_come_in_any_order_and_blank_lines_are_passed_over():
    order = [3, 0, 5, 1, 4, 2]
    lines = [HEAD, GOOD]
    turned = [",".join(line.strip().split(",")[i] for i in order) for line in lines]
    assert read_text(f"{turned[0]}\n\n,,,,,\n{turned[1]}", "old.csv") == [FIRST]


def test_quotes_commas_and_doubled_quotes_are_those_of_rfc_4180():
    """Source: RFC 4180, section 2, rules 5 to 7."""
    (row,) = read_text(HEAD + '"2025-09-01","halves, ""thirds""",review,"120",150,"done"\n', "old.csv")
    assert isinstance(row, ImportedEnding)
    assert row.phase == 'halves, "thirds"'


@given(
    st.lists(
        st.tuples(
            st.dates(date(1970, 1, 1), date(2100, 1, 1)),
            st.text(st.characters(exclude_categories=("C", "Z")), min_size=1, max_size=20),
            st.sampled_from(list(KINDS)),
            st.integers(1, 14_399),
            st.integers(1, 14_399),
            st.sampled_from(ENDINGS),
        ),
        min_size=1,
        max_size=20,
    )
)
def test_what_pythons_own_writer_writes_is_read_back_the_same(rows):
    """Source: an independent writer, the csv module of the standard library."""
    file = io.StringIO()
    writer = csv.writer(file)
    writer.writerow(COLUMNS)
    writer.writerows(rows)
    wanted = [ImportedEnding(str(day), phase, *rest) for day, phase, *rest in rows]
    assert read_text(file.getvalue(), "old.csv") == wanted


def test_a_skipped_phase_may_have_no_duration_or_none_written():
    for written in ("", "0", "0.0"):
        (row,) = read_text(HEAD + f"2025-09-01,warm-up,warm-up,120,{written},skipped\n", "old.csv")
        assert isinstance(row, ImportedEnding)
        assert (row.actual_s, row.ending) == (0.0, "skipped")


@pytest.mark.parametrize(
    ("row", "says"),
    [
        ("2025-9-2,a,review,120,130,done", 'date "2025-9-2" is not a date. Write year-month-day'),
        ("2025-02-30,a,review,120,130,done", 'date "2025-02-30" is not a date.'),
        ("20250902,a,review,120,130,done", 'date "20250902" is not a date.'),
        ("1969-12-31,a,review,120,130,done", 'date "1969-12-31" is not a date.'),
        (",a,review,120,130,done", 'date "" is not a date.'),
        ("2025-09-02,,review,120,130,done", "phase is empty."),
        (f"2025-09-02,{'a' * 121},review,120,130,done", "phase is too long."),
        ('2025-09-02,"a\nb",review,120,130,done', "phase holds a character that can't be seen."),
        ("2025-09-02,a,reviw,120,130,done", 'kind "reviw" is not one of the choices. Did you mean "review"?'),
        ("2025-09-02,a,poetry,120,130,done", "Choose from: warm-up, review,"),
        ("2025-09-02,a,review,120,130,don", 'ending "don" is not one of the choices. Did you mean "done"?'),
        ("2025-09-02,a,review,120,130,", "Choose from: done, moved on, unsaid, bell, interrupted, skipped."),
        ("2025-09-02,a,review,,130,done", "planned_s is missing."),
        ("2025-09-02,a,review,120,,done", "actual_s is missing."),
        ("2025-09-02,a,review,0,130,done", 'planned_s "0" is not above 0.'),
        ("2025-09-02,a,review,120,0,done", 'actual_s "0" is not above 0.'),
        ("2025-09-02,a,review,120,-30,done", 'actual_s "-30" is not a number of seconds.'),
        ("2025-09-02,a,review,120,nan,done", 'actual_s "nan" is not a number of seconds.'),
        ("2025-09-02,a,review,inf,130,done", 'planned_s "inf" is not a number of seconds.'),
        ("2025-09-02,a,review,120,1e3,done", 'actual_s "1e3" is not a number of seconds.'),
        ("2025-09-02,a,review,120,١٢٠,done", "is not a number of seconds."),
        ("2025-09-02,a,review,120,3:07,done", "Write seconds: 187"),
        ("2025-09-02,a,review,2 min,130,done", "Write seconds: 120"),
        ("2025-09-02,a,review,120,36000,done", "actual_s 36000 is 4 hours or more."),
        ("2025-09-02,a,review,120,14400,done", "actual_s 14400 is 4 hours or more."),
        ("2025-09-02,a,review,120,130,done,", "This row has 7 cells, the heading has 6."),
        ("2025-09-02,a,review,120,130", "This row has 5 cells, the heading has 6."),
        ('2025-09-02,"a,review,120,130,done', 'A " is opened here and never closed.'),
        ('2025-09-02,"a"b,review,120,130,done', "This row can't be taken apart."),
    ],
)
def test_a_bad_row_is_told_with_its_line_and_what_to_do(row, says):
    found = the_problem(row)
    assert found.startswith("old.csv:3: ")
    assert says in found


def test_every_problem_of_a_table_is_told_and_no_row_is_handed_over():
    found = problems(HEAD + GOOD + "x,,review,120,130,done\n" + GOOD + "2025-09-01,a,b,1,-1,c\n")
    assert [one.split(" ")[0] for one in found] == ["old.csv:3:", "old.csv:3:", *["old.csv:5:"] * 3]


def test_a_line_number_counts_lines_not_rows_after_a_quoted_line_break():
    found = problems(HEAD + '2025-09-01,"a\nb",review,1,1,done\n' + "2025-09-01,a,review,x,1,done\n")
    assert [one.split(" ")[0] for one in found] == ["old.csv:2:", "old.csv:4:"]


@pytest.mark.parametrize(
    ("head", "says"),
    [
        ("date,phase,kind,planed_s,actual_s,ending", 'no column "planed_s". Did you mean "planned_s"?'),
        ("date,phase,kind,planned_s,actual_s,ending,room", 'no column "room". Take it out'),
        ("date,phase,kind,planned_s,actual_s", 'column "ending" is missing.'),
        ("date,phase,kind,planned_s,actual_s,ending,date", 'column "date" is there twice.'),
        ("date;phase;kind;planned_s;actual_s;ending", "parted by semicolons."),
        ("date\tphase\tkind\tplanned_s\tactual_s\tending", "parted by tabs."),
    ],
)
def test_a_bad_heading_is_told_and_the_rows_are_not_guessed_at(head, says):
    found = problems(f"{head}\n{GOOD}")
    assert says in found[0]
    assert all(one.startswith("old.csv:1: ") for one in found)


@pytest.mark.parametrize("text", ["", "\n\n", "\ufeff", " , ,\n"])
def test_an_empty_file_is_told_with_the_heading_to_write(text):
    assert problems(text) == [f"old.csv:1: The file is empty. Begin with a line: {HEAD.strip()}"]


def test_a_heading_alone_is_no_history():
    assert "no row under the heading" in problems(HEAD)[0]


def test_a_date_that_has_not_come_is_refused_but_tomorrow_may_be_today_elsewhere():
    today = date(2025, 8, 31)
    assert read_text(HEAD + GOOD, "old.csv", today) == [FIRST]
    assert "has not come yet" in problems(HEAD + GOOD, date(2025, 8, 30))[0]


def test_bytes_that_are_no_text_are_told_with_their_line():
    assert "old.csv:2: This is not a text file." in str(read_bytes(HEAD.encode() + b"\x00\x01", "old.csv")[0])
    assert "old.csv:2: The text is not UTF-8." in str(read_bytes(HEAD.encode() + b"\xff", "old.csv")[0])


@pytest.mark.slow
def test_a_file_or_a_table_beyond_all_bounds_is_refused_and_the_largest_allowed_is_read():
    assert "larger than 10 MB" in str(read_bytes(b" " * 50_000_000, "old.csv")[0])
    short = "2025-09-01,a,move,60,60,done\n"
    assert len(read_text(HEAD + short * import_csv.MAX_ROWS, "old.csv")) == import_csv.MAX_ROWS
    (found,) = problems(HEAD + short * (import_csv.MAX_ROWS + 1))
    assert found.startswith(f"old.csv:{import_csv.MAX_ROWS + 2}: The table has more than")


def test_a_table_of_nothing_but_faults_stops_at_a_hundred():
    assert len(problems(HEAD + "x,,,,,\n" * 5000)) == import_csv.MOST_PROBLEMS


def test_an_endless_cell_is_told_not_raised():
    """Python's reader has a limit of 131,072 signs a cell."""
    assert "can't be taken apart" in problems(HEAD + "a" * 200_000 + ",b,c,d,e,f\n")[0]


def holds(found: list[ImportedEnding] | list[Problem]) -> None:
    """Whatever is read is either all sound or all problems, and never nothing."""
    assert found
    if isinstance(found[0], Problem):
        assert all(isinstance(one, Problem) and one.what and one.fix for one in found)
        return
    for row in found:
        assert isinstance(row, ImportedEnding)
        assert row.kind in KINDS
        assert row.ending in ENDINGS
        assert math.isfinite(row.planned_s)
        assert 1 <= row.planned_s < 4 * 3600
        assert 1 <= row.actual_s < 4 * 3600 or row.ending == "skipped"


@given(st.text())
def test_any_text_is_read_or_told_never_raised(text):
    holds(read_text(text, "old.csv"))
    holds(read_text(HEAD + text, "old.csv"))


@given(st.binary())
def test_any_bytes_are_read_or_told_never_raised(data):
    holds(read_bytes(data, "old.csv"))
    holds(read_bytes(HEAD.encode() + data, "old.csv"))


@given(st.randoms(use_true_random=False))
def test_a_sound_table_with_signs_changed_at_random_is_read_or_told(chance: random.Random):
    signs = list(HEAD + GOOD * 3)
    for _change in range(chance.randrange(1, 6)):
        signs[chance.randrange(len(signs))] = chance.choice('",\n\r;\t0-9:eE.\x00\u202e é')
    holds(read_text("".join(signs), "old.csv"))


def test_a_heading_of_very_many_columns_is_told_in_work_that_grows_with_them() -> None:
    """Ours: 100,000 equal names took 14 s, as each was looked for among all before it."""
    assert len(read_text(",".join(["date"] * 100_000) + "\n", "t.csv")) <= import_csv.MOST_PROBLEMS
