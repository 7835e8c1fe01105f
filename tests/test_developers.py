"""DEVELOPERS.md names what there is: paths, modules and what they hold, every folder, timer and thread."""

import ast
import re
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).parents[1]
TEXT = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
MARKED = sorted(set(re.findall(r"`([^`\n]+)`", re.sub(r"^```.*?^```", "", TEXT, flags=re.M | re.S))))
WORDS = sorted({word for mark in MARKED for word in mark.split()})
PATHS = [word for word in WORDS if re.fullmatch(r"[\w.-]+(/[\w.-]+)+|\w+\.(py|toml|md)", word)]
DOTTED = [name for name in MARKED if re.fullmatch(r"pacer(\.\w+)+", name) and name != "pacer.log"]
NAMES = [name for name in MARKED if re.fullmatch(r"[A-Za-z]\w*(\.\w+)*", name) and name not in PATHS + DOTTED]
BESIDE = r"\bQ(?:Timer|\w+Animation|Thread|ThreadPool|Process)\b|\bThread\(|PoolExecutor\(|Popen\("


def places(path: str) -> list[Path]:
    """Where a path may be: from the top, or from the package."""
    return [place for place in (ROOT / path, ROOT / "pacer" / path) if place.exists()]


def source() -> str:
    """All that is written in code, in tests, and in what configures them."""
    files = [ROOT / "pyproject.toml", ROOT / ".ci" / "run"]
    files += [path for folder in ("pacer", "tests") for path in (ROOT / folder).rglob("*.py")]
    return "\n".join(path.read_text(encoding="utf-8") for path in files if path != Path(__file__))


def held_by(scope: ast.AST) -> Iterator[tuple[str, ast.AST]]:
    """What a module or a class defines: classes, functions and names that are given a value."""
    for node in ast.iter_child_nodes(scope):
        if isinstance(node, ast.ClassDef | ast.FunctionDef):
            yield node.name, node
        targets = node.targets if isinstance(node, ast.Assign) else [getattr(node, "target", None)]
        yield from ((target.id, node) for target in targets if isinstance(target, ast.Name))


def is_there(dotted: str) -> bool:
    """Whether a dotted name is a package, a module, or something that a module defines."""
    parts, place = dotted.split("."), ROOT
    while parts and (place / parts[0]).is_dir():
        place /= parts.pop(0)
    if parts and (place / f"{parts[0]}.py").is_file():
        place /= f"{parts.pop(0)}.py"
    if not parts:
        return True
    file = place if place.is_file() else place / "__init__.py"
    scope: ast.AST | None = ast.parse(file.read_text(encoding="utf-8"))
    for part in parts:
        scope = None if scope is None else dict(held_by(scope)).get(part)
    return scope is not None


def test_there_is_much_to_look_up():
    assert (len(PATHS) > 60, len(DOTTED) > 60, len(NAMES) > 40) == (True, True, True)


def test_a_path_that_is_named_is_in_the_tree():
    assert [path for path in PATHS if not places(path)] == []


def test_a_dotted_name_is_a_module_or_something_in_one():
    assert [dotted for dotted in DOTTED if not is_there(dotted)] == []


def test_any_other_name_is_written_somewhere_in_the_code():
    written = set(re.findall(r"\w+", source()))
    assert [part for name in NAMES for part in name.split(".") if part not in written] == []


def test_every_folder_of_the_program_is_named():
    packages = [
        made.parent for made in (ROOT / "pacer").rglob("__init__.py") if made.parent != ROOT / "pacer"
    ]
    named = {place.resolve() for path in PATHS for place in places(path)}
    assert [str(folder) for folder in packages if folder.resolve() not in named] == []


def test_every_module_with_a_timer_a_thread_or_a_process_is_in_the_list_of_them():
    chapter = TEXT.partition("## 5 ")[2].partition("\n## ")[0]
    running = {
        path.relative_to(ROOT / "pacer").as_posix()
        for path in (ROOT / "pacer").rglob("*.py")
        if re.search(BESIDE, path.read_text(encoding="utf-8"))
    }
    assert len(running) > 15
    assert sorted(running - set(re.findall(r"`([\w./]+\.py)`", chapter))) == []


def test_a_type_has_a_name_of_its_own():
    """A class or a named type: where two modules use one name, both say the same with it."""
    said = defaultdict(set)
    for module in (ROOT / "pacer").rglob("*.py"):
        for name, node in held_by(ast.parse(module.read_text(encoding="utf-8"))):
            if not name.isupper() and name.lstrip("_")[:1].isupper():
                said[name].add(str(module) if isinstance(node, ast.ClassDef) else ast.unparse(node))
    assert len(said) > 500
    assert {name: meanings for name, meanings in said.items() if len(meanings) > 1} == {}
