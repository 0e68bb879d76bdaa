"""Imports point downwards only, in files as well as in folders; a library stays in its layer."""

import ast
import graphlib
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent / "templategen"
LAYERS = [  # from the top; a file imports from its own layer and from those after it
    {"__main__"},
    {"cli", "page"},
    {"app"},
    {"club"},
    {"proof"},
    {"output"},
    {"sheets"},
    {"parts"},
    {"nest"},
    {"inputs"},
    {"trade"},
    {"geometry"},
    {"units"},
    {"errors"},
    {"messages"},
]
DOORS = {"cli", "page"}
SEEN_BY_DOORS = {"cli", "page", "app", "units", "errors", "messages"}  # besides records
RECORDS = {  # what app/ takes and gives
    "templategen.nest.plan",
    "templategen.nest.chart",
    "templategen.trade.records",
}
FENCED = {
    "reportlab": {"output"},
    "svgwrite": {"output"},
    "svglib": {"output"},
    "ezdxf": {"output"},
    "matplotlib": {"output"},
    "pypdf": {"output", "proof"},
    "pypdfium2": {"proof"},
    "shapely": {"geometry"},
}
FILES = sorted(ROOT.rglob("*.py"))


def _name(path: Path) -> str:
    words = path.relative_to(ROOT.parent).with_suffix("").parts
    return ".".join(words[:-1] if words[-1] == "__init__" else words)


NAMES = {_name(path) for path in FILES}


def _imports(path: Path) -> set[str]:
    """Modules a file imports, ours as far as the file that holds the name."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            inner = {f"{node.module}.{alias.name}" for alias in node.names}
            files = inner & NAMES
            found |= files if files == inner else files | {node.module}
    return found


def _layer(name: str) -> int:
    top = name.split(".")[1]
    return next(n for n, layer in enumerate(LAYERS) if top in layer)


@pytest.mark.parametrize("path", FILES, ids=lambda p: p.relative_to(ROOT).as_posix())
def test_imports_point_down(path: Path) -> None:
    """No file imports from a layer above its own; fenced libraries stay in their layers."""
    own = _name(path)
    for name in _imports(path):
        words = name.split(".")
        if words[0] == "templategen" and len(words) > 1 and own != "templategen":
            assert _layer(name) >= _layer(own), f"{own} imports {name}"
        if words[0] in FENCED:
            assert own.split(".")[1] in FENCED[words[0]], f"{own} imports {name}"


def test_no_file_imports_itself_by_a_detour() -> None:
    """The imports between files have no circle, whatever `if TYPE_CHECKING` hides."""
    graph = {_name(path): {n for n in _imports(path) if n in NAMES} for path in FILES}
    graphlib.TopologicalSorter(graph).prepare()  # raises CycleError with the circle


@pytest.mark.parametrize("path", FILES, ids=lambda p: p.relative_to(ROOT).as_posix())
def test_doors_know_the_tasks_only(path: Path) -> None:
    """Commands and page call app/ and nothing below it but records and messages."""
    own = _name(path).split(".")
    if len(own) < 2 or own[1] not in DOORS:
        return
    for name in _imports(path):
        if name.startswith("templategen."):
            assert name in RECORDS or name.split(".")[1] in SEEN_BY_DOORS, f"{path} imports {name}"


def test_every_file_has_a_layer() -> None:
    """The walk finds the package, and knows every folder of it."""
    assert len(FILES) > 20
    for name in NAMES - {"templategen"}:
        _layer(name)
