"""What the project imports is what it says it needs: a fresh machine has nothing else."""

import ast
import re
import sys
import tomllib
from importlib.metadata import packages_distributions
from pathlib import Path

ROOT = Path(__file__).parents[2]
OURS = {"railsheet"} | {path.stem for path in (ROOT / "tests").rglob("*.py")}


def imported(folder: Path) -> set[str]:
    """Top-level names of the modules imported from files under `folder`."""
    names: set[str] = set()
    for path in folder.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Import):
                names |= {alias.name.split(".")[0] for alias in node.names}
            elif isinstance(node, ast.ImportFrom) and node.level == 0 and node.module:
                names.add(node.module.split(".")[0])
            elif (
                isinstance(node, ast.Call)
                and getattr(node.func, "attr", "") == "importorskip"
                and isinstance(node.args[0], ast.Constant)
            ):
                names.add(str(node.args[0].value).split(".")[0])
    return names - OURS - set(sys.stdlib_module_names)


def declared(*, with_extras: bool) -> set[str]:
    """Distributions that pyproject.toml names, in lower case with dashes."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    lines = list(project["dependencies"])
    if with_extras:
        lines += [line for extra in project["optional-dependencies"].values() for line in extra]
    return {plain(re.match(r"[\w.-]+", line)[0]) for line in lines}


def plain(name: str) -> str:
    return re.sub(r"[-_.]+", "-", name).lower()


def undeclared(names: set[str], known: set[str]) -> set[str]:
    owners = packages_distributions()
    return {n for n in names if not {plain(d) for d in owners.get(n, [n])} & known}


def test_the_package_imports_only_what_it_declares() -> None:
    names = imported(ROOT / "railsheet")
    assert "ezdxf" in names
    assert undeclared(names, declared(with_extras=True)) <= {"OCP"}  # comes with cadquery


def test_the_tests_import_only_what_is_declared() -> None:
    names = imported(ROOT / "tests")
    assert "pytest" in names
    assert undeclared(names, declared(with_extras=True)) <= {"OCP"}
