"""The shelf of a lesson's pictures: it never waits, keeps within its bounds, gives up what can't be shown."""

import subprocess
import sys

import psutil
import pytest
from PySide6.QtCore import QSize, QTimer

from pacer.frames.wall import PictureKey
from pacer.plan.file.reader import read_text
from pacer.qt.attachments import cache
from pacer.qt.attachments import process as attachment_process
from pacer.qt.attachments.cache import KEPT_BYTES, SIGNS_BYTES, PictureShelf
from tests.qt.attachments.attachment_factories import pdf, picture, save, slow_pdf

HD, FOUR_K = QSize(1920, 1080), QSize(3840, 2160)


@pytest.fixture
def plan(tmp_path):
    """Reads an outline with the attachments named, each in a phase of its own; "" is a phase without one."""

    def build(*names: str, page: int = 1):
        rows = ["format = 1", 'title = "Made"']
        for name in names:
            rows += ["[[phase]]", 'title = "Part"', 'budget = "3"', f'attach = "{name}"', f"page = {page}"]
        return read_text("\n".join(rows), str(tmp_path / "made.toml"))

    return build


@pytest.fixture
def new_shelf(monkeypatch):
    monkeypatch.setattr(cache, "DRAW_CPU_S", 600)  # a slow page is given up by the clock of a test, or never
    made = []

    def build(**options) -> PictureShelf:
        made.append(PictureShelf(**options))
        return made[-1]

    yield build
    for shelf in made:
        shelf.close()
        shelf.deleteLater()


def come(qtbot, shelf, key, size=HD, ratio=1.0):
    """The picture of a key, once it is there."""
    qtbot.waitUntil(lambda: shelf.picture(key, size, ratio) is not None, timeout=60_000)
    return shelf.picture(key, size, ratio)


def quiet(qtbot, shelf):
    """Wait until nothing is under way."""
    qtbot.waitUntil(lambda: not shelf.is_busy, timeout=60_000)


def test_a_picture_comes_and_fits_the_size_in_the_screens_pixels(qtbot, new_shelf, plan, tmp_path):
    save(tmp_path / "line.png")
    shelf, key = new_shelf(), PictureKey(0, 1)
    shelf.open(plan("line.png"))
    assert (shelf.picture(key, QSize(300, 300), 1.5), shelf.fate(key)) == (None, "coming")
    with qtbot.waitSignal(shelf.arrived, timeout=60_000) as came:
        pass
    assert came.args == [key]
    found = shelf.picture(key, QSize(300, 300), 1.5)
    assert (found.size(), found.devicePixelRatio(), shelf.fate(key)) == (QSize(450, 300), 1, "ready")
    assert found.pixelColor(200, 20).red() > 150
    assert shelf.pages_of(0) == 0


def test_pages_of_a_pdf_come_by_number_and_their_count_without_being_asked(qtbot, new_shelf, plan, tmp_path):
    pdf(tmp_path / "line.pdf")
    save(tmp_path / "line.png")
    shelf = new_shelf()
    shelf.open(plan("line.png", "line.pdf", ""))
    qtbot.waitUntil(lambda: shelf.pages_of(1) == 3, timeout=60_000)
    assert (shelf.pages_of(0), shelf.pages_of(2), shelf.pages_of(9)) == (0, 0, 0)
    for page in (1, 2, 3):
        image = come(qtbot, shelf, PictureKey(1, page), QSize(576, 432))
        dark = [image.pixelColor(40 + 60 * square, 40).value() for square in range(4)]
        assert dark == [0] * page + [255] * (4 - page)
    assert (shelf.picture(PictureKey(1, 4), HD, 1), shelf.fate(PictureKey(1, 4))) == (None, "missing")


@pytest.mark.parametrize("name", ["none.png", "../line.png", "text.png", "long.pdf", "line.svg"])
def test_what_a_check_would_refuse_is_missing_in_a_lesson_too(name, qtbot, new_shelf, plan, tmp_path):
    (tmp_path / "text.png").write_text("half of a third")
    pdf(tmp_path / "long.pdf", 201)
    shelf, key = new_shelf(), PictureKey(0, 1)
    shelf.open(plan(name))
    shelf.picture(key, HD, 1)
    qtbot.waitUntil(lambda: shelf.fate(key) == "missing", timeout=60_000)
    assert shelf.picture(key, HD, 1) is None
    quiet(qtbot, shelf)


def test_a_phase_without_a_picture_and_no_phase_at_all_are_missing_and_start_nothing(new_shelf, plan):
    shelf = new_shelf()
    for key in (PictureKey(0, 1), PictureKey(7, 1), PictureKey(-1, 1)):
        assert (shelf.picture(key, HD, 1), shelf.fate(key)) == (None, "missing")
    shelf.open(plan("", ""))
    for key in (PictureKey(0, 1), PictureKey(7, 1), PictureKey(-1, 1)):
        assert (shelf.picture(key, HD, 1), shelf.fate(key)) == (None, "missing")
    assert psutil.Process().children() == []


@pytest.mark.parametrize("page", [0, -1, 2])
def test_a_picture_has_one_page(page, new_shelf, plan, tmp_path):
    save(tmp_path / "line.png")
    shelf = new_shelf()
    shelf.open(plan("line.png"))
    assert shelf.fate(PictureKey(0, page)) == "missing"


def test_nothing_fits_into_no_size(new_shelf, plan):
    shelf = new_shelf()
    shelf.open(plan("line.png"))
    assert shelf.picture(PictureKey(0, 1), QSize(0, 0), 1) is None
    assert psutil.Process().children() == []


def test_the_running_and_the_next_phases_picture_are_drawn_ahead_and_then_the_pages_around(
    qtbot, new_shelf, plan, tmp_path
):
    save(tmp_path / "line.png")
    pdf(tmp_path / "line.pdf")
    shelf = new_shelf()
    shelf.open(plan("", "line.png", "line.pdf", page=2))
    shelf.expect(0, HD, 1)
    quiet(qtbot, shelf)
    first, second = PictureKey(1, 1), PictureKey(2, 2)
    assert {key for key, _size in shelf.kept} == {first, second}
    assert shelf.picture(second, HD, 1) is not None  # at once
    quiet(qtbot, shelf)
    around = {PictureKey(2, 1), PictureKey(2, 3)}
    assert {key for key, _size in shelf.kept} == {first, second} | around


@pytest.mark.slow
@pytest.mark.parametrize("size", [HD, FOUR_K])
def test_a_lesson_full_of_pictures_stays_within_its_memory_and_comes_to_rest(
    size, qtbot, new_shelf, plan, tmp_path
):
    names = [f"line-{number}.png" for number in range(12)]
    for name in names:
        save(tmp_path / name, picture(320, 180))
    shelf = new_shelf()
    shelf.open(plan(*names))
    for index in (0, 1, 7):
        come(qtbot, shelf, PictureKey(index, 1), size)
        quiet(qtbot, shelf)
        held = sum(image.sizeInBytes() for image in shelf.kept.values())
        assert held <= KEPT_BYTES
        assert shelf.picture(PictureKey(index, 1), size, 1) is not None
        assert shelf.fate(PictureKey(index + 1, 1)) == "ready"
        assert held > KEPT_BYTES * 3 // 4


@pytest.fixture
def grouped(tmp_path):
    """Reads an outline with one picture to fill the Wall, and those of groups, stations and the move."""

    def build(groups: tuple[str, ...], stations: tuple[str, ...] = (), move: str = "", attach: str = ""):
        rows = ["format = 1", 'title = "Made"', "[block]", f'move_picture = "{move}"']
        for kind, names in (("group", groups), ("station", stations)):
            for number, name in enumerate(names):
                rows += [f"[[{kind}]]", f'name = "{kind} {number}"', f'picture = "{name}"']
        rows += ["[[phase]]", 'title = "Part"', 'budget = "3"', f'attach = "{attach}"']
        return read_text("\n".join(rows), str(tmp_path / "made.toml"))

    return build


SIGN = QSize(367, 367)
GROUP, STATION, MOVE = PictureKey(0, 1, "group"), PictureKey(0, 1, "station"), PictureKey(0, 1, "move")


def test_signs_are_drawn_ahead_once_and_made_smaller_for_each_place(qtbot, new_shelf, grouped, tmp_path):
    save(tmp_path / "sun.png", picture(600, 300))
    shelf = new_shelf()
    shelf.open(grouped(("sun.png",), ("sun.png",), "sun.png", "sun.png"))
    shelf.expect(0, HD, 1, SIGN)
    quiet(qtbot, shelf)
    kept = shelf.kept
    assert {key for key, _size in kept} == {PictureKey(0, 1), GROUP, STATION, MOVE}
    assert shelf.picture(GROUP, QSize(100, 100), 1).size() == QSize(100, 50)
    assert shelf.picture(STATION, QSize(120, 120), 1.5).size() == QSize(180, 90)
    assert shelf.picture(MOVE, QSize(500, 400), 1).size() == QSize(500, 250)
    assert (shelf.is_busy, shelf.kept) == (False, kept)


@pytest.mark.slow
def test_signs_have_no_more_memory_however_many_there_are(qtbot, new_shelf, grouped, tmp_path):
    names = tuple(f"sign-{number}.png" for number in range(12))
    for name in names:
        save(tmp_path / name, picture(800, 800))
    save(tmp_path / "line.png", picture(320, 180))
    shelf = new_shelf()
    shelf.open(grouped(names, names, names[0], "line.png"))
    shelf.expect(0, FOUR_K, 1, QSize(734, 734))
    come(qtbot, shelf, PictureKey(0, 1), FOUR_K)
    quiet(qtbot, shelf)
    for number in range(12):
        for of in ("group", "station"):
            assert shelf.fate(PictureKey(number, 1, of)) == "ready"
    assert shelf.picture(PictureKey(0, 1), FOUR_K, 1) is not None
    held = {key.of: 0 for key, _size in shelf.kept}
    for (key, _size), image in shelf.kept.items():
        held[key.of] += image.sizeInBytes()
    assert held["group"] + held["station"] <= SIGNS_BYTES
    assert sum(held.values()) <= KEPT_BYTES


@pytest.mark.slow
def test_a_sign_on_the_wall_does_not_wait_for_what_is_drawn_ahead(qtbot, new_shelf, grouped, tmp_path):
    (tmp_path / "slow.pdf").write_bytes(slow_pdf())
    save(tmp_path / "sun.png")
    shelf = new_shelf(limit_ms=600_000)  # else the slow page may be given up before the signs come
    shelf.open(grouped(("sun.png", "sun.png"), attach="slow.pdf"))
    shelf.expect(0, HD, 1)
    qtbot.waitUntil(lambda: shelf.pages_of(0) == 1 and shelf.is_busy, timeout=60_000)
    for number in (0, 1):
        come(qtbot, shelf, PictureKey(number, 1, "group"), SIGN)
    assert shelf.fate(PictureKey(0, 1)) == "coming"


def test_a_page_of_a_pdf_may_be_a_sign_and_what_cannot_be_read_is_named(qtbot, new_shelf, grouped, tmp_path):
    pdf(tmp_path / "sun.pdf")
    (tmp_path / "broken.png").write_bytes(b"no picture")
    shelf = new_shelf()
    shelf.open(grouped(("sun.pdf", "broken.png", "", "gone.png"), ("broken.png",)))
    assert come(qtbot, shelf, GROUP, SIGN).size() == QSize(367, 275)
    shelf.picture(STATION, SIGN, 1)
    quiet(qtbot, shelf)
    fates = [shelf.fate(PictureKey(number, 1, "group")) for number in range(5)]
    assert fates == ["ready", "missing", "missing", "missing", "missing"]
    assert shelf.unreadable == ("broken.png", "gone.png")
    assert shelf.picture(PictureKey(1, 1, "group"), SIGN, 1) is None


def test_when_the_wall_changes_its_size_a_rough_picture_stands_in_until_the_right_one_comes(
    qtbot, new_shelf, plan, tmp_path
):
    save(tmp_path / "line.png", picture(400, 300))
    shelf, key = new_shelf(), PictureKey(0, 1)
    shelf.open(plan("line.png"))
    come(qtbot, shelf, key, QSize(400, 300))
    rough = shelf.picture(key, QSize(200, 300), 1)
    assert rough.size() == QSize(200, 150)
    quiet(qtbot, shelf)
    assert shelf.picture(key, QSize(200, 300), 1).size() == QSize(200, 150)
    assert (key, (200, 300)) in shelf.kept


@pytest.mark.slow
def test_a_page_that_takes_too_long_is_missing_and_the_next_picture_comes(qtbot, new_shelf, plan, tmp_path):
    (tmp_path / "slow.pdf").write_bytes(slow_pdf())
    save(tmp_path / "line.png")
    shelf, slow = new_shelf(limit_ms=400), PictureKey(0, 1)
    shelf.open(plan("slow.pdf", "line.png"))
    shelf.picture(slow, HD, 1)
    qtbot.waitUntil(lambda: shelf.fate(slow) == "missing", timeout=60_000)
    assert shelf.pages_of(0) in (0, 1)
    shelf.limit_ms = 60_000
    come(qtbot, shelf, PictureKey(1, 1))


@pytest.mark.slow
def test_what_is_drawn_ahead_gives_way_to_the_picture_on_the_wall(qtbot, new_shelf, plan, tmp_path):
    (tmp_path / "slow.pdf").write_bytes(slow_pdf())
    save(tmp_path / "line.png")
    shelf = new_shelf(limit_ms=600_000)
    shelf.open(plan("slow.pdf", "line.png"))
    shelf.expect(0, HD, 1)
    qtbot.waitUntil(lambda: shelf.pages_of(0) == 1 and shelf.is_busy, timeout=60_000)
    come(qtbot, shelf, PictureKey(1, 1))
    assert shelf.fate(PictureKey(0, 1)) == "coming"  # not given up: it was only in the way


@pytest.mark.slow
def test_the_window_goes_on_while_a_heavy_page_is_drawn(qtbot, new_shelf, plan, tmp_path):
    """A thread would not do: drawing a page holds Python's lock, and the timer would stand still with it."""
    (tmp_path / "slow.pdf").write_bytes(slow_pdf())  # longer than anybody here waits
    shelf, beats = new_shelf(limit_ms=600_000), []
    shelf.open(plan("slow.pdf"))
    shelf.picture(PictureKey(0, 1), QSize(600, 600), 1)
    qtbot.waitUntil(lambda: shelf._answers, timeout=60_000)  # the process is in the page
    pulse = QTimer()
    pulse.timeout.connect(lambda: beats.append(shelf.is_busy))
    pulse.start(5)
    qtbot.waitUntil(lambda: len(beats) >= 50, timeout=60_000)
    pulse.stop()
    assert all(beats)
    assert shelf.fate(PictureKey(0, 1)) == "coming"


def test_a_reader_that_never_gets_time_costs_one_picture(qtbot, new_shelf, plan, tmp_path):
    save(tmp_path / "line.png")
    save(tmp_path / "other.png")
    shelf = new_shelf(limit_ms=600_000)
    shelf.open(plan("line.png", "other.png"))
    come(qtbot, shelf, PictureKey(0, 1))
    quiet(qtbot, shelf)
    (reader,) = psutil.Process().children()
    reader.suspend()
    shelf.limit_ms = 20
    shelf.picture(PictureKey(1, 1), QSize(400, 400), 1)
    qtbot.waitUntil(lambda: shelf.fate(PictureKey(1, 1)) == "missing", timeout=60_000)
    assert shelf.fate(PictureKey(0, 1)) == "ready"
    assert shelf.unreadable == ("other.png",)


def test_a_reader_that_dies_costs_one_picture(qtbot, new_shelf, plan, tmp_path):
    (tmp_path / "slow.pdf").write_bytes(slow_pdf())
    save(tmp_path / "line.png")
    shelf, slow = new_shelf(limit_ms=600_000), PictureKey(0, 1)
    shelf.open(plan("slow.pdf", "line.png"))
    shelf.picture(slow, HD, 1)
    qtbot.waitUntil(lambda: shelf._answers, timeout=60_000)
    (reader,) = psutil.Process().children()
    reader.kill()
    qtbot.waitUntil(lambda: shelf.fate(slow) == "missing", timeout=60_000)
    come(qtbot, shelf, PictureKey(1, 1))


@pytest.mark.parametrize("fault", ["no program", "a program that ends at once"])
def test_where_no_reader_can_live_everything_is_missing_and_nothing_is_tried_again(
    fault, qtbot, new_shelf, plan, tmp_path, monkeypatch
):
    if fault == "no program":
        monkeypatch.setattr(sys, "executable", str(tmp_path / "none"))
    else:
        monkeypatch.setattr(attachment_process, "_RUN", "raise SystemExit")
    save(tmp_path / "line.png")
    shelf = new_shelf()
    shelf.open(plan("line.png", "line.png"))
    shelf.picture(PictureKey(0, 1), HD, 1)
    qtbot.waitUntil(lambda: shelf.fate(PictureKey(0, 1)) == "missing", timeout=60_000)
    assert shelf.fate(PictureKey(1, 1)) == "missing"
    assert psutil.Process().children() == []


@pytest.mark.slow
def test_closing_ends_the_process_at_once_even_in_a_slow_page_and_opening_begins_anew(
    qtbot, new_shelf, plan, tmp_path
):
    (tmp_path / "slow.pdf").write_bytes(slow_pdf())
    save(tmp_path / "line.png")
    shelf = new_shelf(limit_ms=600_000)
    shelf.open(plan("slow.pdf"))
    shelf.picture(PictureKey(0, 1), HD, 1)
    qtbot.waitUntil(lambda: shelf._answers, timeout=60_000)
    (reader,) = psutil.Process().children()
    shelf.close()
    reader.wait(60)
    assert reader.pid not in [child.pid for child in psutil.Process().children()]
    assert shelf.fate(PictureKey(0, 1)) == "missing"
    shelf.open(plan("line.png"))
    come(qtbot, shelf, PictureKey(0, 1))


@pytest.mark.slow
def test_another_outline_shows_nothing_of_the_last(qtbot, new_shelf, plan, tmp_path):
    save(tmp_path / "line.png")
    pdf(tmp_path / "line.pdf")
    shelf = new_shelf()
    shelf.open(plan("line.pdf"))
    come(qtbot, shelf, PictureKey(0, 1))
    shelf.open(plan("line.png"))
    assert (shelf.picture(PictureKey(0, 1), HD, 1), shelf.pages_of(0)) == (None, 0)
    assert come(qtbot, shelf, PictureKey(0, 1)).size() == QSize(1620, 1080)


QUITS = """
import sys
from PySide6.QtCore import QSize, QTimer
from PySide6.QtWidgets import QApplication
from pacer.frames.wall import PictureKey
from pacer.plan.file.reader import read_outline
from pacer.qt.attachments import cache
from pacer.qt.attachments.cache import PictureShelf
from pathlib import Path
cache.DRAW_CPU_S = 600
app = QApplication([])
shelf = PictureShelf(limit_ms=600_000)  # a busy machine may take long: the page is never given up here
shelf.open(read_outline(Path(sys.argv[1])))
shelf.picture(PictureKey(0, 1), QSize(900, 900), 1)
watch = QTimer()
watch.timeout.connect(lambda: shelf._answers and app.quit())  # the process lives and is in the page
watch.start(20)
app.exec()
print("quit", shelf.is_busy, flush=True)
"""


@pytest.mark.slow
def test_a_program_that_quits_in_a_slow_page_without_closing_the_shelf_ends(tmp_path, plan):
    (tmp_path / "slow.pdf").write_bytes(slow_pdf())
    outline = tmp_path / "slow.toml"
    outline.write_text('format = 1\ntitle = "x"\n[[phase]]\ntitle = "y"\nbudget = "3"\nattach = "slow.pdf"\n')
    done = subprocess.run([sys.executable, "-c", QUITS, outline], capture_output=True, text=True, timeout=600)
    assert (done.stdout, done.returncode) == ("quit True\n", 0), done.stderr
