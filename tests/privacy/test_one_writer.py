"""One module opens files for writing and makes folders: whoever else does it is found in the source."""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

PACER = Path(__file__).resolve().parents[2] / "pacer"
WRITER = "owner_only.py"
# Whoever opens a database or makes a temporary folder may: it is begun by the writer, or for its owner only.
ALLOWED = {
    ("log/pages.py", "mmap.mmap"): "for reading only",
    ("plan/taken/archive.py", "zipfile.ZipFile"): "of bytes in memory, for reading",
    ("log/database.py", "sqlite3.connect"): "the file was begun by owner_only.begin_file",
    ("editing/outline_editor.py", "touch"): "no file: it says that there is something to save",
    ("settings/outline_files.py", "os.link"): "the same file under another name, with the rights it has",
    ("settings/outline_files.py", "symlink_to"): "a link that was there, in another place",
    ("qt/library/trash.py", "QFile"): "moves a file into the system's trash",
    ("qt/library/page.py", "write_text"): "the library's own, which saves as every outline is saved",
    ("qt/paper/print_card.py", "QPrinter"): "the printer that she chooses in the system's own dialog",
    ("qt/start.py", "QLockFile"): "within owner_only.closed_umask",
    ("qt/lesson/tone_player.py", "QTemporaryDir"): "Qt makes it for its owner only",
    ("qt/start.py", "tempfile.mkdtemp"): "made for its owner only, as Python's documentation says",
    ("verbs/headless_demo.py", "tempfile.mkdtemp"): "the same",
    ("verbs/headless_demo.py", "tempfile.TemporaryDirectory"): "the same",
    ("__main__.py", "os.open"): "the null device",
    ("qt/attachments/worker.py", "os.open"): "for reading",
    ("qt/attachments/worker.py", "open"): "for reading, and the null device",
    ("qt/attachments/worker.py", "os.fdopen"): "pipes to the process that asked",
    ("tone.py", "wave.open"): "into memory",
    ("earpiece/render_words.py", "tempfile.TemporaryDirectory"): "for its owner only; gone with the words",
    ("earpiece/render_words.py", "wave.open"): "for reading",
}
METHODS = {"write_text", "write_bytes", "mkdir", "touch", "symlink_to", "hardlink_to"}
MAKES = {
    "os": {"open", "fdopen", "mkdir", "makedirs", "mknod", "mkfifo", "link", "symlink", "truncate"},
    "shutil": {"copy", "copy2", "copyfile", "copyfileobj", "copytree", "move", "make_archive"},
    "tempfile": {"mkdtemp", "mkstemp", "TemporaryDirectory", "TemporaryFile", "NamedTemporaryFile",
                 "SpooledTemporaryFile"},
    "sqlite3": {"connect"}, "io": {"open", "FileIO"}, "wave": {"open"}, "gzip": {"open"},
    "zipfile": {"ZipFile"}, "tarfile": {"open"}, "dbm": {"open"}, "shelve": {"open"}, "mmap": {"mmap"},
}  # fmt: skip
OF_QT = {"QFile", "QSaveFile", "QTemporaryFile", "QTemporaryDir", "QSettings", "QLockFile", "QImageWriter",
         "QDir", "QPrinter", "QSvgGenerator", "QMediaRecorder"}  # fmt: skip


def writers_in(source: str) -> Iterator[tuple[str, int]]:
    """What a module calls that opens a file for writing or makes a folder, and in which line."""
    tree = ast.parse(source)
    own_names: dict[str, str] = {}
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom) and node.module in MAKES:
            own_names |= {(one.asname or one.name): f"{node.module}.{one.name}" for one in node.names}
    for node in ast.walk(tree):
        if isinstance(node, ast.Call):
            called = _called(node, own_names)
            if called:
                yield called, node.lineno


def _called(call: ast.Call, own_names: dict[str, str]) -> str:
    of = call.func
    if isinstance(of, ast.Name):
        name = own_names.get(of.id, of.id)
        module, _dot, what = name.rpartition(".")
        if name == "open" and _may_write(call.args[1:2], call):
            return name
        return name if name in OF_QT or what in MAKES.get(module, ()) else ""
    if not isinstance(of, ast.Attribute):
        return ""
    if isinstance(of.value, ast.Name) and of.attr in MAKES.get(of.value.id, ()):
        in_memory = any(isinstance(one, ast.Constant) and one.value == ":memory:" for one in call.args)
        return "" if in_memory else f"{of.value.id}.{of.attr}"
    if of.attr in METHODS:
        return of.attr
    # A path that is opened, or a picture that is saved under a name of ours.
    if of.attr == "open" and _may_write(call.args[:1], call):
        return "open"
    paints = of.attr == "save" and len(call.args) >= 2 and isinstance(call.args[1], ast.Constant)
    return "save" if paints and not _is_buffer(call.args[0]) else ""


def _may_write(mode: list[ast.expr], call: ast.Call) -> bool:
    """Whether a mode that is given as text has a letter of writing in it."""
    given = [*mode, *(word.value for word in call.keywords if word.arg == "mode")]
    texts = [one.value for one in given if isinstance(one, ast.Constant) and isinstance(one.value, str)]
    return any(set(text) & set("wax+") and set(text) <= set("rwaxbt+") for text in texts)


def _is_buffer(to: ast.expr) -> bool:
    return isinstance(to, ast.Name) and to.id == "buffer"


@pytest.mark.slow
def test_no_other_module_opens_a_file_for_writing_or_makes_a_folder():
    found = {}
    for path in sorted(PACER.rglob("*.py")):
        module = path.relative_to(PACER).as_posix()
        if module != WRITER:
            for called, line in writers_in(path.read_text(encoding="utf-8")):
                found.setdefault((module, called), line)
    assert {place: line for place, line in found.items() if place not in ALLOWED} == {}
    assert set(ALLOWED) - set(found) - {("qt/attachments/worker.py", "open")} == set(), "no longer needed"


@pytest.mark.parametrize(
    "source",
    [
        "open(path, 'w')", "open(path, mode='xb')", "path.open('ab')", "path.open(mode='r+')",
        "path.write_text('x')", "path.write_bytes(b'')", "path.mkdir()", "os.makedirs(path)", "path.touch()",
        "os.open(path, flags)", "import shutil\nshutil.copyfile(a, b)", "sqlite3.connect(path)",
        "from shutil import copy2 as c\nc(a, b)", "tempfile.mkstemp()", "image.save(str(path), 'PNG')",
        "QSaveFile(name)", "from tempfile import mkdtemp\nmkdtemp()",
    ],
)  # fmt: skip
def test_each_way_to_write_is_found(source):
    assert len(list(writers_in(source))) == 1


@pytest.mark.parametrize(
    "source",
    ["open(path)", "path.open('rb')", "store.open(path)", "painter.save()", "image.save(buffer, 'PNG')",
     "store.save(task.path, task.text, task.stamp)", "menu.open('help')", "os.replace(a, b)",
     "sqlite3.connect(':memory:')"],
)  # fmt: skip
def test_what_only_reads_or_names_something_else_is_not(source):
    assert list(writers_in(source)) == []
