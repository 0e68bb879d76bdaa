"""Changes one expression of a module at a time and counts the changes that no test finds.

Run by hand, from the top of the repository:

    python tests/bench/mutate.py templategen/geometry/cuts.py tests/geometry/test_cuts.py

A comparison, an arithmetic operator, a constant, a condition or a returned value is changed. Each
mutant runs in a process of its own (`os.fork`), in which the changed module takes the place of the
true one before the tests are collected. Printed are the counts and each change that survives, with
its line: either a test is missing, or the change makes no difference to what the module returns.
Needs a system with `fork`.
"""

import argparse
import ast
import contextlib
import copy
import importlib
import importlib.abc
import importlib.util
import io
import os
import signal
import sys
import time
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from importlib.machinery import ModuleSpec
from pathlib import Path
from types import ModuleType

import pytest

ROOT = Path(__file__).resolve().parents[2]
COMPARISONS: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt,
    ast.Eq: ast.NotEq, ast.NotEq: ast.Eq, ast.Is: ast.IsNot, ast.IsNot: ast.Is,
    ast.In: ast.NotIn, ast.NotIn: ast.In,
}  # fmt: skip
ARITHMETIC: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult,
    ast.FloorDiv: ast.Div, ast.Mod: ast.Mult, ast.Pow: ast.Mult,
}  # fmt: skip
LARGE = {"ezdxf", "numpy", "pypdfium2", "reportlab", "scipy", "shapely", "sympy", "trimesh"}
TOO_LONG = 5.0  # a mutant may take this many times as long as the true module, and 10 s more


@dataclass(frozen=True, slots=True)
class Change:
    """One change: where, of what kind, and the expression before and after."""

    line: int
    kind: str
    before: str
    after: str


def mutants(tree: ast.Module) -> Iterator[tuple[Change, ast.Module]]:
    """Every changed copy of a module's tree; docstrings and annotations are left as they are."""
    skipped = {id(inner) for node in ast.walk(tree) for inner in _not_run(node)}
    nodes = [(n, node) for n, node in enumerate(ast.walk(tree)) if id(node) not in skipped]
    for n, node in nodes:
        for kind, changed in _changes(node):
            copied = copy.deepcopy(tree)
            place = next(inner for m, inner in enumerate(ast.walk(copied)) if m == n)
            place.__dict__.update(changed.__dict__)
            place.__class__ = changed.__class__
            ast.fix_missing_locations(copied)
            line = getattr(node, "lineno", 0)
            yield Change(line, kind, ast.unparse(node), ast.unparse(changed)), copied


def _not_run(node: ast.AST) -> Iterator[ast.AST]:
    """The parts of a node that do nothing when the program runs."""
    idle: list[ast.AST | None] = []
    if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
        idle.append(node.value)
    elif isinstance(node, ast.AnnAssign | ast.arg):
        idle.append(node.annotation)
    elif isinstance(node, ast.FunctionDef):
        idle += [node.returns, *node.decorator_list]
    elif isinstance(node, ast.ClassDef):
        idle += node.decorator_list
    for part in idle:
        yield from ast.walk(part) if part is not None else ()


def _changes(node: ast.AST) -> Iterator[tuple[str, ast.AST]]:
    """What a node may be changed to, with the kind of the change."""
    changed = copy.deepcopy(node)
    match changed:
        case ast.Compare(ops=[op, *_]) if type(op) in COMPARISONS:
            changed.ops[0] = COMPARISONS[type(op)]()
            yield "comparison", changed
        case ast.BinOp(op=op) if type(op) in ARITHMETIC:
            changed.op = ARITHMETIC[type(op)]()
            yield "arithmetic", changed
        case ast.UnaryOp(op=ast.USub(), operand=operand):
            yield "arithmetic", operand
        case ast.UnaryOp(op=ast.Not(), operand=operand):
            yield "condition", operand
        case ast.BoolOp(op=op):
            changed.op = ast.Or() if isinstance(op, ast.And) else ast.And()
            yield "condition", changed
        case ast.If(test=test) | ast.IfExp(test=test) | ast.While(test=test):
            changed.test = ast.UnaryOp(op=ast.Not(), operand=test)
            yield "condition", changed
        case ast.Constant(value=bool(value)):
            yield "constant", ast.Constant(value=not value)
        case ast.Constant(value=int(value) | float(value)):
            yield "constant", ast.Constant(value=value * 1.01 + 0.01 if value % 1 else value + 1)
        case ast.Return(value=ast.expr()):
            changed.value = ast.Constant(value=None)
            yield "return", changed


class _Finder(importlib.abc.MetaPathFinder, importlib.abc.Loader):
    """Gives one module another body."""

    def __init__(self, name: str, tree: ast.Module, path: Path) -> None:
        self.name, self.tree, self.path = name, tree, path

    def find_spec(self, fullname: str, *_: object) -> ModuleSpec | None:
        """The module, if it is the changed one."""
        if fullname != self.name:
            return None
        return importlib.util.spec_from_loader(fullname, self, origin=str(self.path))

    def exec_module(self, module: ModuleType) -> None:
        """Runs the changed body."""
        module.__file__ = str(self.path)
        exec(compile(self.tree, str(self.path), "exec"), module.__dict__)


def passes(path: Path, tree: ast.Module, tests: Sequence[str], seconds: int) -> bool:
    """Whether the tests pass with a changed module; one that takes too long does not."""
    child = os.fork()
    if child == 0:
        os.setpgid(0, 0)
        signal.alarm(seconds)
        name = ".".join(path.relative_to(ROOT).with_suffix("").parts)
        sys.meta_path.insert(0, _Finder(name, tree, path))
        options = ["-x", "-q", "-n0", "-p", "no:cacheprovider", "-p", "no:randomly"]
        with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(io.StringIO()):
            code = 1
            with contextlib.suppress(BaseException):
                code = int(pytest.main([*options, *tests]))
        os._exit(code)
    _, status = os.waitpid(child, 0)
    return os.waitstatus_to_exitcode(status) == 0


def _import_libraries(tests: Sequence[str]) -> None:
    """Imports large libraries that the tests use, once for all processes."""
    for test in (Path(name.partition("::")[0]) for name in tests):
        for file in [test] if test.is_file() else test.rglob("*.py"):
            for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
                names = [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
                if isinstance(node, ast.ImportFrom) and node.module:
                    names = [node.module]
                for name in LARGE & {name.partition(".")[0] for name in names}:
                    importlib.import_module(name)


def main() -> None:
    """Tries every mutant of a module and prints what was found."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("module", type=Path)
    parser.add_argument("tests", nargs="+")
    parser.add_argument("--every", type=int, default=1, help="try one mutant in so many")
    wishes = parser.parse_args()
    path = wishes.module.resolve()
    _import_libraries(wishes.tests)
    tree = ast.parse(path.read_text(encoding="utf-8"))
    started = time.monotonic()
    if not passes(path, tree, wishes.tests, 3600):
        parser.error("the tests fail with the module unchanged")
    seconds = int(10 + TOO_LONG * (time.monotonic() - started))
    tried: Counter[str] = Counter()
    left: list[Change] = []
    for n, (change, changed) in enumerate(mutants(tree)):
        if n % wishes.every:
            continue
        tried[change.kind] += 1
        if passes(path, changed, wishes.tests, seconds):
            left.append(change)
            print(f"{wishes.module}:{change.line}: {change.before} -> {change.after}", flush=True)
    alive = Counter(change.kind for change in left)
    for kind, count in sorted(tried.items()):
        print(f"{kind}: {count} tried, {alive[kind]} survive")
    print(f"{wishes.module}: {sum(tried.values())} tried, {len(left)} survive")


if __name__ == "__main__":
    main()
