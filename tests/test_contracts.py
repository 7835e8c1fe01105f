"""Which part of the program may import which, as pyproject.toml says: each import that it refuses, tried."""

from collections.abc import Iterable, Iterator
from copy import deepcopy
from itertools import combinations, permutations
from pathlib import Path
from typing import Any

import grimp
import pytest
from importlinter.api import read_configuration
from importlinter.contracts.acyclic_siblings import AcyclicSiblingsContract
from importlinter.contracts.forbidden import ForbiddenContract
from importlinter.contracts.layers import LayersContract
from importlinter.contracts.protected import ProtectedContract

LINTER = read_configuration(str(Path(__file__).parents[1] / "pyproject.toml"))
CONTRACTS = LINTER["contracts_options"]
KINDS = {
    "acyclic_siblings": AcyclicSiblingsContract,
    "forbidden": ForbiddenContract,
    "layers": LayersContract,
    "protected": ProtectedContract,
}
Import = tuple[str, str]  # who imports, and what


def options(kind: str, about: str = "") -> dict[str, Any]:
    """The contract of a kind whose name holds some words."""
    (found,) = (one for one in CONTRACTS if one["type"] == kind and about in one["name"])
    return found


LAYERS = [[name.strip() for name in layer.split("|")] for layer in options("layers")["layers"]]
WALL = options("forbidden", "Wall")
NEEDED = {line.split(" -> ")[1] for line in WALL["ignore_imports"]}


@pytest.fixture(scope="module")
def tree() -> grimp.ImportGraph:
    """The imports of the program as it is."""
    return grimp.build_graph("pacer", include_external_packages=True, cache_dir=None)


def is_kept(graph: grimp.ImportGraph, contract: dict[str, Any]) -> bool:
    """Whether a contract holds in a copy of the graph, which checking may change."""
    given = {name: value for name, value in contract.items() if name not in ("name", "type")}
    checked = KINDS[contract["type"]](contract["name"], LINTER["session_options"], given)
    return checked.check(deepcopy(graph), verbose=False).kept


def accepted(tree: grimp.ImportGraph, contract: dict[str, Any], imports: Iterable[Import]) -> list[Import]:
    """Those of some imports that a contract lets pass, each tried alone."""
    passed = []
    for importer, imported in imports:
        for name in {importer, imported} - tree.modules:
            tree.add_module(name, is_squashed=True)  # an external package that nobody imports yet
        tree.add_import(importer=importer, imported=imported)
        if is_kept(tree, contract):
            passed.append((importer, imported))
        tree.remove_import(importer=importer, imported=imported)
    return passed


def within(tree: grimp.ImportGraph, layer: str) -> str:
    """A module of a layer, as deep in it as any."""
    inside = tree.find_descendants(f"pacer.{layer}")
    return max(inside, key=lambda name: (name.count("."), name), default=f"pacer.{layer}")


@pytest.mark.parametrize("contract", CONTRACTS, ids=lambda contract: contract["name"])
def test_the_program_as_it_is_keeps_the_contract(tree, contract):
    assert is_kept(tree, contract)


@pytest.mark.slow
def test_an_import_of_a_layer_above_or_beside_is_refused(tree):
    upward = [(low, high) for above, below in combinations(LAYERS, 2) for low in below for high in above]
    beside = [pair for layer in LAYERS for pair in permutations(layer, 2)]
    tried = [(within(tree, importer), within(tree, imported)) for importer, imported in upward + beside]
    assert len(tried) > 130
    assert accepted(tree, options("layers"), tried) == []


def test_a_package_that_no_layer_names_is_refused(tree):
    more = deepcopy(tree)
    more.add_module("pacer.newcomer")
    assert not is_kept(more, options("layers"))


@pytest.mark.parametrize(("about", "owner"), [("Qt", "qt"), ("SQL", "log")])
def test_qt_and_sql_are_refused_to_all_but_their_own_package(tree, about, owner):
    contract = options("protected", about)
    others = [within(tree, name) for layer in LAYERS for name in layer if name != owner]
    tried = [(importer, name) for importer in others for name in contract["protected_modules"]]
    assert accepted(tree, contract, tried) == []
    assert accepted(tree, contract, [(within(tree, owner), contract["protected_modules"][0])])


@pytest.mark.slow
def test_whatever_the_wall_s_painter_does_not_need_is_refused_to_it(tree):
    walls = tree.find_descendants("pacer.qt.wall")
    others = tree.modules - walls - NEEDED - {"pacer.qt.wall", "pacer.qt", "pacer"}
    tried = [(max(walls), name) for name in sorted(others) if name.startswith("pacer.")]
    assert accepted(tree, WALL, tried) == []
    private = {"pacer.frames.desk", "pacer.frames.record", "pacer.run.session", "pacer.pace.stages"}
    assert private < {name for _importer, name in tried}


def turned_around(tree: grimp.ImportGraph) -> Iterator[Import]:
    """For each package, an import between two parts of it, and back."""
    for package in sorted(tree.modules):
        parts = tree.find_children(package) if package.startswith("pacer") else ()
        for part, other in permutations(sorted(parts), 2):
            if tree.direct_import_exists(importer=part, imported=other):
                yield other, part
                break


def test_a_circle_is_refused_in_every_package(tree):
    tried = list(turned_around(tree))
    assert len(tried) > 20
    assert accepted(tree, options("acyclic_siblings"), tried) == []
