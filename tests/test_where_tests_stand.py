"""A module's test is found by its path: ``pacer/qt/wall/fill.py`` has ``tests/qt/wall/test_fill.py``."""

from pathlib import Path

TESTS = Path(__file__).parent
PROGRAM = TESTS.parent / "pacer"
# These test no module of the program but the program as a whole, on screens, in time, or what it stands on.
OF_ALL = {"benchmarks", "real_screens", "pictures", "privacy", "faults", "inputs"}
OF_NO_MODULE = {"test_where_tests_stand.py", "test_contracts.py", "test_developers.py", "qt/test_binding.py"}


def named_module(test: Path) -> Path | None:
    """The module that a test file names by its path, perhaps with an aspect behind it."""
    folder = PROGRAM / test.parent.relative_to(TESTS)
    words = test.stem.removeprefix("test_").split("_")
    tried = (folder / f"{'_'.join(words[:count])}.py" for count in range(len(words), 0, -1))
    return next((module for module in tried if module.is_file()), None)


def own_tests() -> list[Path]:
    """All test files but those of the program as a whole."""
    found = sorted(TESTS.rglob("test_*.py"))
    return [test for test in found if test.relative_to(TESTS).parts[0] not in OF_ALL]


def test_a_test_stands_where_the_module_it_names_would_look_for_it() -> None:
    astray = {test.relative_to(TESTS).as_posix() for test in own_tests() if named_module(test) is None}
    assert astray == OF_NO_MODULE


def test_every_folder_of_the_program_has_tests_of_its_own() -> None:
    folders = {module.parent for module in PROGRAM.rglob("*.py") if module.name != "__init__.py"}
    tested = {PROGRAM / test.parent.relative_to(TESTS) for test in own_tests()}
    assert {folder.relative_to(PROGRAM).as_posix() for folder in folders - tested} == set()


def test_no_folder_holds_more_than_twenty_files() -> None:
    """So that a newcomer can take in each; what fits no folder any more is a room of its own."""
    folders = {module.parent for module in PROGRAM.rglob("*.py")}
    counts = {folder.relative_to(PROGRAM).as_posix(): len(list(folder.glob("*.py"))) for folder in folders}
    assert {folder: count for folder, count in counts.items() if count > 20} == {}
