"""Imports point one way through the house, and nothing goes round in a circle."""

from __future__ import annotations

import ast
from pathlib import Path

PACKAGE = Path(__file__).parent.parent.parent / "railsheet"
# Each room may use those before it, and itself.
ORDER = (
    "units", "job", "survey", "layout", "checks", "cuts", "solids", "figures", "proof", "sheets",
    "export", "cli",
)  # fmt: skip


def imported(path: Path) -> set[str]:
    names: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module and node.level == 0:
            names.add(node.module)
        elif isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
    return {name for name in names if name.startswith("railsheet.")}


def module_of(path: Path) -> str:
    parts = path.relative_to(PACKAGE.parent).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def test_rooms_use_only_the_rooms_before_them() -> None:
    seen = 0
    for path in PACKAGE.rglob("*.py"):
        room = path.relative_to(PACKAGE).parts[0]
        if room not in ORDER:
            continue
        for name in imported(path):
            other = name.split(".")[1]
            if other in ORDER:
                seen += 1
                assert ORDER.index(other) <= ORDER.index(room), f"{module_of(path)} uses {name}"
    assert seen > 100


def test_no_module_imports_round_in_a_circle() -> None:
    graph = {module_of(path): imported(path) for path in PACKAGE.rglob("*.py")}
    done: set[str] = set()

    def walk(name: str, above: tuple[str, ...]) -> None:
        assert name not in above, " -> ".join((*above, name))
        if name in done or name not in graph:
            return
        for other in graph[name]:
            walk(other, (*above, name))
        done.add(name)

    for name in graph:
        walk(name, ())


def test_modules_stay_small() -> None:
    for path in PACKAGE.rglob("*.py"):
        lines = len(path.read_text(encoding="utf-8").splitlines())
        assert lines <= 450, f"{path.name} has {lines} lines: it has more than one job"
