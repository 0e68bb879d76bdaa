"""Imports point downwards only, and a writer's library stays in its layer."""

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent / "templategen"
ORDER = ["cli", "output", "sheets", "parts", "nest", "trade", "inputs", "geometry"]
FENCED = {
    "reportlab": "output",
    "svgwrite": "output",
    "svglib": "output",
    "ezdxf": "output",
    "matplotlib": "output",
    "pypdf": "output",
    "pypdfium2": "output",
    "shapely": "geometry",
}
FILES = sorted(ROOT.rglob("*.py"))


def _imports(path: Path) -> list[str]:
    names: list[str] = []
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names += [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom) and node.module:
            names += [node.module, *[f"{node.module}.{a.name}" for a in node.names]]
    return names


def _rank(layer: str) -> int:
    return ORDER.index(layer) if layer in ORDER else len(ORDER)


@pytest.mark.parametrize("path", FILES, ids=lambda p: p.relative_to(ROOT).as_posix())
def test_imports_point_down(path: Path) -> None:
    """No module imports from a layer above its own; fenced libraries stay in their layer."""
    layer = path.relative_to(ROOT).parts[0]
    for name in _imports(path):
        words = name.split(".")
        if words[0] == "templategen" and len(words) > 1 and layer in ORDER:
            assert _rank(words[1]) >= _rank(layer), f"{path.name} imports {name}"
        if words[0] in FENCED:
            assert layer == FENCED[words[0]], f"{path.name} imports {name}"


def test_there_is_something_to_check() -> None:
    """The walk finds the package."""
    assert len(FILES) > 20
