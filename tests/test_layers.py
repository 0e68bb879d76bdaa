"""Imports point downwards only, in files as well as in folders; a library stays in its layer."""

import ast
import functools
import graphlib
import importlib.metadata
import re
import sys
import tomllib
from collections.abc import Iterator, Mapping
from pathlib import Path

import pytest

TESTS = Path(__file__).resolve().parent
PACKAGE = TESTS.parent / "templategen"
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
    {"child"},
    {"limits"},
    {"units"},
    {"errors"},
    {"messages"},
]
DOORS = {"cli", "page"}
SEEN_BY_DOORS = {"cli", "page", "app", "child", "units", "errors", "messages"}  # besides records
RECORDS = {  # what app/ takes and gives
    "templategen.nest.plan",
    "templategen.nest.chart",
    "templategen.parts.style",
    "templategen.trade.choices",
    "templategen.trade.printer",
    "templategen.trade.records",
}
FENCED = {
    "reportlab": {"output"},
    "svgwrite": {"output"},
    "svglib": {"output"},
    "ezdxf": {"output"},
    "PIL": {"output", "proof"},
    "fontTools": {"output", "parts"},
    "pypdf": {"output", "proof"},
    "pypdfium2": {"output", "proof"},
    "shapely": {"geometry"},
    "starlette": {"page"},
    "uvicorn": {"page"},
    "tomlkit": {"inputs"},
    "typer": {"cli"},
    "rich": {"cli"},
    "platformdirs": {"app"},
}


def sources(root: Path) -> dict[str, Path]:
    """The files of a package by their dotted names."""
    found = {}
    for path in sorted(root.rglob("*.py")):
        words = path.relative_to(root.parent).with_suffix("").parts
        found[".".join(words[:-1] if words[-1] == "__init__" else words)] = path
    return found


@functools.cache
def import_nodes(path: Path) -> tuple[ast.Import | ast.ImportFrom | ast.Call, ...]:
    """Every statement and call of a file that imports, wherever it stands."""
    nodes = ast.walk(ast.parse(path.read_text(encoding="utf-8")))
    return tuple(
        node
        for node in nodes
        if isinstance(node, ast.Import | ast.ImportFrom)
        or (isinstance(node, ast.Call) and ast.unparse(node.func).endswith("import_module"))
    )


def imports(path: Path, files: Mapping[str, Path]) -> set[str]:
    """Modules a file imports anywhere in it, ours as far as the file that holds the name."""
    found: set[str] = set()
    for node in import_nodes(path):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            inner = {f"{node.module}.{alias.name}" for alias in node.names}
            known = inner & files.keys()
            found |= known if known == inner else known | {node.module}
        elif isinstance(node, ast.Call):
            found |= {str(a.value) for a in node.args if isinstance(a, ast.Constant)}
    return found


def layer(name: str) -> int:
    """Number of the layer a module is in, from the top; StopIteration for an unknown one."""
    top = name.split(".")[1]
    return next(n for n, names in enumerate(LAYERS) if top in names)


def upward_imports(files: Mapping[str, Path]) -> Iterator[str]:
    """Every import from a layer above the importing file's own."""
    for own, path in files.items():
        for name in sorted(imports(path, files)):
            ours = name.startswith("templategen.") and own != "templategen"
            if ours and layer(name) < layer(own):
                yield f"{own} imports {name}"


def fence_breaches(files: Mapping[str, Path]) -> Iterator[str]:
    """Every import of a library outside the layer that it belongs to."""
    for own, path in files.items():
        for name in sorted(imports(path, files)):
            top = name.split(".")[0]
            if top in FENCED and own.split(".")[1] not in FENCED[top]:
                yield f"{own} imports {name}"


def door_breaches(files: Mapping[str, Path]) -> Iterator[str]:
    """Every import of a command or the page from below app/, records left out."""
    for own, path in files.items():
        if own.split(".")[1:2] and own.split(".")[1] in DOORS:
            for name in sorted(imports(path, files)):
                ours = name.startswith("templategen.") and name not in RECORDS
                if ours and name.split(".")[1] not in SEEN_BY_DOORS:
                    yield f"{own} imports {name}"


def circle(files: Mapping[str, Path]) -> list[str]:
    """Files that import one another in a circle, or none."""
    graph = {own: imports(path, files) & files.keys() for own, path in files.items()}
    try:
        graphlib.TopologicalSorter(graph).prepare()
    except graphlib.CycleError as error:
        return list(error.args[1])
    return []


FILES = sources(PACKAGE)


def test_imports_point_down() -> None:
    """No file imports from a layer above its own."""
    assert list(upward_imports(FILES)) == []


def test_libraries_stay_in_their_layers() -> None:
    """Each library that one layer needs, such as one for a file format, is imported there only."""
    assert list(fence_breaches(FILES)) == []


def test_doors_know_the_tasks_only() -> None:
    """Commands and page call app/ and nothing below it but records and messages."""
    assert list(door_breaches(FILES)) == []


def test_no_file_imports_itself_by_a_detour() -> None:
    """The imports between files have no circle, whatever `if TYPE_CHECKING` hides."""
    assert circle(FILES) == []


def test_every_file_has_a_layer() -> None:
    """The walk finds the package, and knows every folder of it."""
    assert len(FILES) > 20
    for name in FILES.keys() - {"templategen"}:
        layer(name)


@pytest.mark.parametrize(
    ("file", "text", "check"),
    [
        ("units.py", "from templategen.cli import main", upward_imports),
        ("trade/wood.py", "def f():\n    import templategen.inputs.job_file", upward_imports),
        ("nest/plan.py", "from templategen.parts import drawing", upward_imports),
        ("sheets/page.py", "from reportlab.pdfgen.canvas import Canvas", fence_breaches),
        ("units.py", "import shapely", fence_breaches),
        ("trade/wood.py", 'importlib.import_module("templategen.cli.main")', upward_imports),
        ("cli/main.py", "from templategen.nest.planner import make_plan", door_breaches),
        ("cli/main.py", "import templategen.output.pdf", door_breaches),
    ],
)
def test_a_planted_import_is_found(tmp_path: Path, file: str, text: str, check: object) -> None:
    """The checks above see one wrong import, in a file of its own, also inside a function."""
    path = tmp_path / "templategen" / file
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8")
    (tmp_path / "templategen" / "__init__.py").touch()
    assert len(list(check(sources(tmp_path / "templategen")))) == 1  # type: ignore[operator]


def test_a_planted_circle_is_found(tmp_path: Path) -> None:
    """Two files of one layer that import each other are a circle."""
    root = tmp_path / "templategen"
    root.mkdir()
    (root / "units.py").write_text("if False:\n    from templategen import errors")
    (root / "errors.py").write_text("def f():\n    from templategen.units import MM")
    assert set(circle(sources(root))) == {"templategen.units", "templategen.errors"}


def test_every_library_is_a_dependency() -> None:
    """What the package imports is installed with it, without the libraries of the tests."""
    project = tomllib.loads((TESTS.parent / "pyproject.toml").read_text("utf-8"))["project"]
    wanted = {re.split(r"[<>=]", line)[0].lower() for line in project["dependencies"]}
    packages = importlib.metadata.packages_distributions()
    used = {name.split(".")[0] for path in FILES.values() for name in imports(path, FILES)}
    libraries = used - sys.stdlib_module_names - {"templategen"}
    assert {packages[name][0].lower() for name in libraries} == wanted


def test_every_test_says_what_holds() -> None:
    """Each test has a docstring, methods of classes included."""
    silent = [
        f"{path.relative_to(TESTS)}:{node.lineno} {node.name}"
        for path in sorted(TESTS.rglob("*.py"))
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.FunctionDef)
        and node.name.startswith("test_")
        and not ast.get_docstring(node)
    ]
    assert silent == []
