"""Looking into attached files: whole ones are drawn, hostile and broken ones are a plain problem, soon."""

import json
import os
import random
import signal
import subprocess
import sys

import psutil
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PySide6.QtCore import QSize

from pacer.plan.file.attachments import ENDINGS, LOOK_CPU_S, inside_words
from pacer.qt.attachments import process as attachment_process
from pacer.qt.attachments.process import Looker
from pacer.qt.attachments.worker import FaultError, draw, draw_pdf, draw_picture, read_file
from tests.qt.attachments.attachment_factories import (
    GIF,
    endless_pdf,
    locked_pdf,
    one_colour_png,
    pdf,
    pdf_without_pages,
    picture,
    png_of_head,
    save,
    slow_pdf,
    turned_jpeg,
)

BOX = QSize(240, 240)


@pytest.fixture(scope="module")
def look():
    """The look of a check, in its own process."""
    with Looker(600) as looker:  # a busy machine is no fault of the file
        yield looker
        assert not looker.blind


def readers(*but: psutil.Process) -> list[psutil.Process]:
    """The processes that this one opens files in, but for some."""
    children = psutil.Process().children()
    return [one for one in children if one not in but and one.status() != psutil.STATUS_ZOMBIE]


def seen_as(look, path, page=1) -> str:
    """What a look says is wrong; empty where nothing is."""
    words = look(path, page)
    return "" if words is None else words[0]


@pytest.mark.parametrize("ending", ["png", "jpg", "jpeg", "webp", "bmp", "PNG"])
def test_a_whole_picture_is_fine_and_drawn_to_fit(ending, look, tmp_path):
    path = save(tmp_path / f"line.{ending}")
    assert look(path, 1) is None
    image, pages = draw(path, 1, BOX)
    assert (image.size(), pages) == (QSize(240, 160), 0)
    above, below = image.pixelColor(120, 20), image.pixelColor(120, 140)
    assert above.red() > 150 > 60 > above.blue()
    assert below.blue() > 150 > 60 > below.red()


def test_a_small_picture_is_drawn_larger_and_a_thin_one_keeps_a_pixel(tmp_path):
    assert draw(save(tmp_path / "small.png", picture(30, 20)), 1, BOX)[0].size() == QSize(240, 160)
    assert draw(save(tmp_path / "thin.png", picture(9000, 2)), 1, BOX)[0].size() == QSize(240, 1)


def test_of_a_moving_picture_only_the_first_frame_is_ever_drawn(look, tmp_path):
    path = tmp_path / "moves.gif"
    path.write_bytes(GIF)
    assert look(path, 1) is None
    for page in (1, 2):
        colour = draw(path, page, BOX)[0].pixelColor(100, 100)
        assert (colour.red(), colour.blue()) == (255, 0)


def test_a_photograph_stands_the_way_up_that_the_camera_noted(tmp_path):
    image, _pages = draw(turned_jpeg(tmp_path / "upright.jpg"), 1, QSize(300, 300))
    assert image.size() == QSize(200, 300)
    right, left = image.pixelColor(180, 150), image.pixelColor(10, 150)
    assert right.red() > 150 > 60 > right.blue()
    assert left.blue() > 150 > 60 > left.red()


def test_what_can_be_seen_through_stays_so_in_a_picture(tmp_path):
    clear = picture().convertToFormat(picture().Format.Format_ARGB32)
    clear.fill(0)
    assert draw(save(tmp_path / "clear.png", clear), 1, BOX)[0].pixelColor(5, 5).alpha() == 0


def test_a_page_of_a_pdf_is_drawn_on_white_paper(look, tmp_path):
    path = pdf(tmp_path / "line.pdf")
    for page in (1, 2, 3):
        assert look(path, page) is None
        image, pages = draw(path, page, QSize(576, 576))
        assert (image.size(), pages) == (QSize(576, 432), 3)
        assert not image.hasAlphaChannel()
        row = [image.pixelColor(40 + 60 * square, 40).value() for square in range(4)]
        assert row == [0] * page + [255] * (4 - page)


def test_a_jpeg_that_is_called_png_is_still_a_picture(look, tmp_path):
    path = save(tmp_path / "line.jpg").rename(tmp_path / "line.png")
    assert look(path, 1) is None


@pytest.mark.parametrize("ending", ["png", "jpg", "webp", "bmp", "gif"])
@pytest.mark.parametrize("part", [0.3, 0.6, 0.9, 0.98])
def test_a_picture_that_is_cut_short_is_broken(ending, part, look, tmp_path):
    path = tmp_path / f"cut.{ending}"
    path.write_bytes(GIF[:-27]) if ending == "gif" else save(path)
    data = path.read_bytes()
    path.write_bytes(data[: int(len(data) * part)])
    assert seen_as(look, path) == "The picture is broken or cut short."


@pytest.mark.parametrize("ending", ENDINGS)
def test_text_and_nothing_at_all_are_no_picture_and_no_pdf(ending, look, tmp_path):
    for content in (b"", b"half of a third\n", b"<svg xmlns='http://www.w3.org/2000/svg'/>"):
        path = tmp_path / f"text{ending}"
        path.write_bytes(content)
        what = "PDF" if ending == ".pdf" else "picture"
        assert seen_as(look, path) == f"There is no {what} in the file."


@pytest.mark.slow
def test_a_head_that_claims_too_much_is_a_problem_before_anything_is_unpacked(look, tmp_path):
    path = tmp_path / "bomb.png"
    for data, millions in ((png_of_head(60_000, 60_000), 3600), (one_colour_png(20_000), 400)):
        path.write_bytes(data)
        assert len(data) < 1_000_000
        assert seen_as(look, path) == f"The picture has {millions} million pixels, more than 30."


def test_a_picture_just_under_the_bound_is_shown(look, tmp_path):
    path = tmp_path / "large.png"
    path.write_bytes(one_colour_png(5_400))
    assert look(path, 1) is None


def test_a_large_sheet_is_drawn_no_larger_than_the_screen(look, tmp_path):
    path = pdf(tmp_path / "poster.pdf", 1, 200, 200)
    assert look(path, 1) is None
    assert draw(path, 1, QSize(400, 300))[0].size() == QSize(300, 300)


def test_a_pdf_that_is_cut_short_locked_empty_or_endless_is_a_problem(look, tmp_path):
    whole = pdf(tmp_path / "line.pdf").read_bytes()
    path = tmp_path / "wrong.pdf"
    for data, said in (
        (whole[: len(whole) // 2], "The PDF is broken, cut short, or has no pages."),
        (b"%PDF-1.7\n" + bytes(range(256)) * 20 + b"%%EOF", "The PDF is broken, cut short, or has no pages."),
        (locked_pdf(), "The PDF is locked with a password."),
        (pdf_without_pages(), "The PDF is broken, cut short, or has no pages."),
    ):
        path.write_bytes(data)
        assert seen_as(look, path) == said
    assert seen_as(look, pdf(tmp_path / "long.pdf", 400)) == "The PDF has 400 pages, more than 200."
    assert seen_as(look, pdf(tmp_path / "most.pdf", 200)) == ""


def test_a_page_past_the_last_is_a_problem_that_says_how_many_there_are(look, tmp_path):
    words = look(pdf(tmp_path / "line.pdf"), 4)
    assert words == ("The PDF has 3 pages, so there is none of that number.", "Write page = 3 or less.")


def test_a_page_that_takes_too_long_is_given_up_and_the_next_file_is_looked_into(tmp_path, monkeypatch):
    monkeypatch.setattr(attachment_process, "LOOK_CPU_S", 600)  # it is the clock that gives it up
    path = tmp_path / "slow.pdf"
    path.write_bytes(slow_pdf())
    fine = save(tmp_path / "line.png")
    with Looker(0.5) as look:
        assert look(path, 1) == inside_words("slow")
        look.limit_s = 600
        assert look(fine, 1) is None


def test_a_reader_that_never_gets_time_is_given_up_in_the_end(tmp_path):
    path, others = save(tmp_path / "line.png"), readers()
    with Looker(600) as look:
        assert look(path, 1) is None
        (reader,) = readers(*others)
        reader.suspend()
        look.limit_s = 0.02
        assert look(path, 1) == inside_words("slow")


@pytest.mark.skipif(not hasattr(signal, "setitimer"), reason="nothing holds a process to its time here")
def test_a_page_list_that_names_itself_is_given_up_after_a_second_of_the_processor_s_time(tmp_path):
    """It would be gone through for many seconds. The clock may show any time: it has ten minutes here."""
    path = tmp_path / "endless.pdf"
    path.write_bytes(endless_pdf())
    fine = save(tmp_path / "line.png")
    with Looker(600) as look:
        assert look(path, 1) == inside_words("too-much")
        assert look(fine, 1) is None
        assert look.text(path).code == "too-much"


def test_a_file_is_not_given_up_because_the_computer_is_busy_with_something_else(tmp_path):
    """The process is not at the processor for twice as long as a look may cost."""
    path = save(tmp_path / "line.png").as_posix()
    asked = {"number": 1, "path": path, "page": 1, "width": 9, "height": 9, "pixels": False}
    run = (
        "import time, pacer.qt.attachments.worker as a; answer = a.answer_to; "
        f"a.answer_to = lambda request: time.sleep({2 * LOOK_CPU_S}) or answer(request); a.main()"
    )
    request = json.dumps(asked | {"cpu_s": LOOK_CPU_S})
    done = subprocess.run(
        [sys.executable, "-c", run], input=request.encode(), capture_output=True, timeout=600
    )
    assert json.loads(done.stdout.splitlines()[1])["pages"] == 0


def test_a_reader_that_dies_over_a_file_is_a_problem_and_the_next_file_is_looked_into(tmp_path):
    fine = save(tmp_path / "line.png")
    others = readers()
    with Looker(600) as look:
        assert look(fine, 1) is None
        (reader,) = readers(*others)
        reader.kill()
        assert look(fine, 1) == inside_words("too-much")
        assert look(fine, 1) is None


def test_where_no_reader_can_be_started_nothing_is_looked_into_and_that_is_known(tmp_path, monkeypatch):
    monkeypatch.setattr(sys, "executable", str(tmp_path / "none"))
    with Looker() as look:
        assert look(save(tmp_path / "line.png"), 1) is None
        assert look.blind


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no named pipes here")
def test_a_pipe_and_a_device_are_never_waited_for(look, tmp_path):
    os.mkfifo(tmp_path / "pipe.png")
    assert seen_as(look, tmp_path / "pipe.png") == "The file can't be read."
    (tmp_path / "zero.pdf").symlink_to("/dev/zero")
    assert seen_as(look, tmp_path / "zero.pdf") == "The file can't be read."
    assert seen_as(look, tmp_path / "none.pdf") == "The file can't be read."


def test_the_end_of_a_look_ends_its_process_whatever_it_is_in(tmp_path):
    path = tmp_path / "slow.pdf"
    path.write_bytes(slow_pdf())
    others, look = readers(), Looker(600)
    look(save(tmp_path / "line.png"), 1)
    (reader,) = readers(*others)
    look.limit_s = 0.3
    look(path, 1)
    look.close()
    reader.wait(60)
    assert readers(*others) == []


def test_a_process_that_nobody_ends_ends_itself(tmp_path, monkeypatch):
    """Its watch runs beside Python, which stands still while a page is drawn."""
    path = tmp_path / "slow.pdf"
    path.write_bytes(slow_pdf())
    run = "import pacer.qt.attachments.worker as a; a.LOOK_S = -4; a.main()"  # one second in all
    request = (
        f'{{"number": 1, "path": "{path.as_posix()}", "page": 1, "width": 600, "height": 600, "pixels": 0}}\n'
    )
    done = subprocess.run(
        [sys.executable, "-c", run], input=request.encode(), capture_output=True, timeout=600
    )
    assert done.stdout == b'{"number": 0}\n'
    assert done.returncode != 0


SEEDS = ("png", "jpg", "webp", "bmp", "gif", "pdf")


@pytest.fixture(scope="module")
def seeds(tmp_path_factory):
    """A whole file of each kind, as bytes."""
    folder = tmp_path_factory.mktemp("seeds")
    made = {kind: save(folder / f"s.{kind}").read_bytes() for kind in SEEDS if kind not in ("gif", "pdf")}
    return made | {"gif": GIF, "pdf": pdf(folder / "s.pdf").read_bytes()}


@pytest.fixture(scope="module")
def any_file(tmp_path_factory):
    return tmp_path_factory.mktemp("any")


@given(
    kind=st.sampled_from(SEEDS),
    ending=st.sampled_from(ENDINGS),
    seed=st.integers(0, 2**32),
    cut=st.floats(0.2, 1),
    junk=st.binary(max_size=200),
    page=st.sampled_from((1, 2, 3, 9999)),
)
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_any_bytes_under_any_ending_are_fine_or_a_problem_and_never_stop_the_reader(
    seeds, any_file, look, kind, ending, seed, cut, junk, page
):
    """Junk, and whole files with bytes turned over and ends cut off."""
    look(any_file, 1)  # starts the reader, if it is the first time
    before = readers()
    data = bytearray(seeds[kind])
    dice = random.Random(seed)
    for _time in range(dice.randrange(20)):
        data[dice.randrange(len(data))] = dice.randrange(256)
    for content in (junk, bytes(data[: int(len(data) * cut)])):
        path = any_file / f"any{ending}"
        path.write_bytes(content)
        words = look(path, page)
        assert words is None or all(words)
        assert words not in (inside_words("slow"), inside_words("too-much"))
    assert readers() == before  # the reader lived through all of it


@pytest.mark.parametrize(
    "data",
    [b"\x89PNG", b"\xff\xd8\xff", b"\xff\xd8\xff\xe0\0\0", b"BM", b"BM" + b"\xff" * 60, b"GIF8", b"RIFF",
     b"RIFF\0\0\0\0WEBP"],
)  # fmt: skip
def test_a_first_few_bytes_alone_are_no_picture(data):
    with pytest.raises(FaultError):
        draw_picture(data, BOX)


def test_a_file_over_the_bound_is_not_read_to_its_end(tmp_path):
    path = tmp_path / "huge.pdf"
    with path.open("wb") as file:
        file.truncate(10**12)
    with pytest.raises(FaultError, match="unreadable"):
        read_file(path)


def test_asking_only_for_the_number_of_pages_draws_none():
    with pytest.raises(FaultError, match="broken-pdf"):
        draw_pdf(pdf_without_pages(), 1, QSize())
    image, pages = draw_pdf(slow_pdf(), 1, QSize(0, 0))
    assert (image.isNull(), pages) == (True, 1)


@pytest.mark.slow
@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="the system tells its peak there")
@pytest.mark.parametrize("name", ["large.png", "large.pdf"])
def test_the_process_that_draws_never_holds_more_than_300_mib(name, tmp_path):
    """Ours: drawing took up to a gigabyte. The largest picture, and a page on the largest screen."""
    path = tmp_path / name
    if name.endswith("png"):
        path.write_bytes(one_colour_png(5_400))
    else:
        pdf(path, 1, 80, 60)
    request = {"number": 1, "path": str(path), "page": 1, "width": 8192, "height": 8192, "pixels": False}
    code = (
        "import re, pathlib, pacer.qt.attachments.worker as worker; worker.main(); "
        # Not ru_maxrss: that counts what the process which started this one held.
        "status = pathlib.Path('/proc/self/status').read_text(); "
        "print(int(re.search(r'VmHWM:\\s+(\\d+) kB', status)[1]) // 1024)"
    )
    ran = subprocess.run(
        [sys.executable, "-c", code],
        input=json.dumps(request) + "\n",
        capture_output=True,
        text=True,
        check=True,
    )
    answer = json.loads(ran.stdout.splitlines()[1])
    assert not answer.get("code"), answer
    assert int((ran.stdout + ran.stderr).split()[-1]) <= 300
