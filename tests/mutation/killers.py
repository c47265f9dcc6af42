"""Which tests run a line, and those tests run against one wrong at a time.

Two plugins of pytest. `Cover` keeps, for each line of the solving rooms, the tests that run it.
`Kill` collects the tests once, then gives each mutant a process of its own: its function's code is
put in the place of the true one, and the tests that run its line are run until one fails. What
runs as a module is imported needs a fresh program instead (`in_a_fresh_program`).
"""

from __future__ import annotations

import ast
import gc
import importlib
import json
import os
import resource
import signal
import subprocess
import sys
import time
from collections import defaultdict
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import asdict, dataclass, field
from importlib.machinery import SourceFileLoader
from itertools import zip_longest
from pathlib import Path
from types import CodeType, FunctionType

import pytest
from _pytest.runner import runtestprotocol
from hypothesis import Phase, settings
from mutants import ROOT, Mutant, source_of, tree_with

TESTS = ("tests/unit", "tests/validation")
OPTIONS = ("-q", "-p", "no:cacheprovider", "-p", "no:xdist", "-o", "addopts=")
# A test that runs ten times as long as it does on the true code does not end.
TIMES_AS_LONG, SECONDS_MORE = 10.0, 5.0
MEMORY_BYTES = 6 << 30


@dataclass
class Map:
    """Which tests run which line.

    `lines`: for each module and line (as text) the indices of the tests; `imported`: the lines of
    each module that run as something is imported; `seconds` of each test by its id.
    """

    lines: dict[str, dict[str, list[int]]] = field(default_factory=dict)
    imported: dict[str, list[int]] = field(default_factory=dict)
    seconds: dict[str, float] = field(default_factory=dict)
    libraries: list[str] = field(default_factory=list)


def same_each_time() -> None:
    """Hypothesis tries the same values for every mutant and does not look for smaller ones."""
    settings.register_profile(
        "mutation",
        deadline=None,
        derandomize=True,
        database=None,
        phases=(Phase.explicit, Phase.generate),
    )
    settings.load_profile("mutation")


class Cover:
    """Keeps which test runs which line, with coverage.py (no dependency: installed by hand)."""

    def __init__(self, out: Path, modules: list[str]) -> None:
        self.out, self.modules = out, modules
        self.seconds: dict[str, float] = defaultdict(float)
        self.failed: set[str] = set()
        self.fixtures: dict[str, set[str]] = {}
        coverage = importlib.import_module("coverage")
        self.coverage = coverage.Coverage(
            data_file=None, include=[str(source_of(module)) for module in modules]
        )
        self.coverage.start()

    def pytest_configure(self) -> None:
        same_each_time()

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_setup(self, item: pytest.Item) -> Iterator[None]:
        # A fixture of a whole module is set up once: who shares it runs its lines too.
        self.fixtures[item.nodeid] = set(getattr(item, "fixturenames", ()))
        self.coverage.switch_context(f"{item.nodeid}|setup")
        return (yield)

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_call(self, item: pytest.Item) -> Iterator[None]:
        self.coverage.switch_context(f"{item.nodeid}|call")
        return (yield)

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        self.seconds[report.nodeid] += report.duration
        if not report.passed:
            self.failed.add(report.nodeid)

    def pytest_sessionfinish(self) -> None:
        self.coverage.stop()
        data = self.coverage.get_data()
        tests = sorted(set(self.seconds) - self.failed)
        index = {test: i for i, test in enumerate(tests)}
        found = Map(seconds={test: self.seconds[test] for test in tests})
        for module in self.modules:
            lines = {}
            for line, contexts in data.contexts_by_lineno(str(source_of(module))).items():
                who = {c.rpartition("|")[0] for c in contexts}
                who |= {
                    other
                    for c in contexts
                    if c.endswith("|setup")
                    for other in tests
                    if self._shares(c.rpartition("|")[0], other)
                }
                lines[str(line)] = sorted(index[test] for test in who if test in index)
                if "" in contexts:
                    found.imported.setdefault(module, []).append(line)
            found.lines[module] = lines
        found.libraries = sorted(
            name
            for name, module in sys.modules.items()
            if "site-packages" in (getattr(module, "__file__", None) or "")
            and not name.startswith(("_pytest", "pytest", "coverage", "xdist"))
        )
        self.out.write_text(json.dumps(asdict(found)), encoding="utf-8")

    def _shares(self, one: str, other: str) -> bool:
        if one.partition("::")[0] != other.partition("::")[0]:
            return False
        return bool(self.fixtures.get(one, set()) & self.fixtures.get(other, set()) - {"request"})


@dataclass
class Outcome:
    """What came of a mutant: `how` is killed, no end, survived, no test or gone; `by` which test.

    `cut_short`: it survived the tests that the seconds allowed, not all that run its line.
    """

    name: str
    line: int
    was: str
    now: str
    how: str
    by: str = ""
    cut_short: bool = False


class Kill:
    """Runs the tests against each mutant, till the time is up."""

    def __init__(self, mutants: list[Mutant], known: Map, out: Path, minutes: float) -> None:
        self.mutants, self.known, self.out = mutants, known, out
        self.ends = time.monotonic() + 60 * minutes
        self.seconds_each = 25.0
        self.outcomes: list[Outcome] = []

    def pytest_configure(self) -> None:
        same_each_time()

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        self.items = {item.nodeid: item for item in session.items}
        for name in self.known.libraries:
            with suppress(Exception):
                importlib.import_module(name)
        self.functions = functions_by_code()
        gc.freeze()
        for mutant in self.mutants:
            if time.monotonic() > self.ends:
                break
            self.outcomes.append(self.outcome(mutant))
            self.out.write_text(
                json.dumps([asdict(one) for one in self.outcomes], indent=1), encoding="utf-8"
            )
        self.no_false_alarms()
        return True

    def outcome(self, mutant: Mutant) -> Outcome:
        """Run the tests that run the mutant's lines, until one fails."""
        result = Outcome(mutant.name, mutant.line, mutant.was, mutant.now, "survived")
        tree = tree_with(mutant)
        if tree is None:
            result.how = "gone"
            return result
        lines = statement_lines(mutant)
        everyone = self.tests_of(mutant.module, lines)
        if not everyone:
            result.how = "no test"
            return result
        tests = within(everyone, self.known.seconds, self.seconds_each)
        result.cut_short = len(tests) < len(everyone)
        source = str(source_of(mutant.module))
        code = compile(tree, source, "exec")
        at_import = set(self.known.imported.get(mutant.module, ())) & inner_lines(mutant)
        swaps = [] if at_import else list(self.swaps(code, source, mutant.place))
        if swaps:
            result.how, result.by = self.in_a_fork(tests, swaps)
        else:
            result.how, result.by = in_a_fresh_program(mutant, tests, self.known.seconds)
        return result

    def tests_of(self, module: str, lines: set[int]) -> list[str]:
        names = list(self.known.seconds)
        of_module = self.known.lines.get(module, {})
        found = {i for line in lines for i in of_module.get(str(line), ())}
        if not found and set(self.known.imported.get(module, ())) & lines:
            # Runs at import only: whoever runs anything of the module may see it.
            found = {i for tests in of_module.values() for i in tests}
        return [names[i] for i in sorted(found) if names[i] in self.items]

    def swaps(
        self, code: CodeType, source: str, place: str
    ) -> Iterator[tuple[FunctionType, CodeType]]:
        for new in codes_in(code):
            if place == new.co_qualname or place.startswith(f"{new.co_qualname}."):
                for function in self.functions.get((source, new.co_qualname), ()):
                    old = function.__code__
                    same = old.co_firstlineno == new.co_firstlineno
                    # Where the wrong takes a name of the function round it away, only a fresh
                    # program can have it.
                    if same and old != new and old.co_freevars == new.co_freevars:
                        yield function, new

    def in_a_fork(
        self, tests: list[str], swaps: list[tuple[FunctionType, CodeType]]
    ) -> tuple[str, str]:
        reader, writer = os.pipe()
        child = os.fork()
        if not child:
            os.close(reader)
            resource.setrlimit(resource.RLIMIT_AS, (MEMORY_BYTES, MEMORY_BYTES))
            for function, new in swaps:
                function.__code__ = new
            failed = b""
            try:
                failed = self.first_failure(tests).encode()
            except BaseException as why:  # a child must never come back
                failed = f"broke: {why!r}".encode()
            finally:
                os.write(writer, failed[:4000])
                os._exit(0)
        os.close(writer)
        with os.fdopen(reader, "rb") as pipe:
            failed = pipe.read().decode()
        _, status = os.waitpid(child, 0)
        if os.WIFSIGNALED(status):
            return "no end", f"signal {os.WTERMSIG(status)}"
        return ("killed", failed) if failed else ("survived", "")

    def first_failure(self, tests: list[str]) -> str:
        signal.signal(signal.SIGVTALRM, signal.SIG_DFL)
        items = [self.items[test] for test in tests]
        for item, after in zip_longest(items, items[1:]):
            allowed = SECONDS_MORE + TIMES_AS_LONG * self.known.seconds[item.nodeid]
            signal.setitimer(signal.ITIMER_VIRTUAL, allowed)
            if any(report.failed for report in runtestprotocol(item, log=False, nextitem=after)):
                return item.nodeid
        return ""

    def no_false_alarms(self) -> None:
        """A test that fails without a mutant kills nothing: its mutants are not counted."""
        killers = sorted({one.by for one in self.outcomes if one.how == "killed"} & set(self.items))
        false = {test for test in killers if self.in_a_fork([test], [])[0] != "survived"}
        for one in self.outcomes:
            if one.by in false:
                one.how = "false alarm"
        self.out.write_text(
            json.dumps([asdict(one) for one in self.outcomes], indent=1), encoding="utf-8"
        )


def statement_lines(mutant: Mutant) -> set[int]:
    """The lines of the smallest statement round the mutant; of a compound one, only its head."""
    tree = ast.parse(source_of(mutant.module).read_text(encoding="utf-8"))
    best: set[int] = {mutant.line}
    size = None
    for node in ast.walk(tree):
        if isinstance(node, ast.stmt) and node.lineno <= mutant.line <= (node.end_lineno or 0):
            end = node.end_lineno or node.lineno
            body = getattr(node, "body", None)
            if isinstance(body, list) and mutant.line < body[0].lineno:
                end = body[0].lineno - 1
            elif isinstance(body, list):
                continue
            if size is None or end - node.lineno <= size:
                size, best = end - node.lineno, set(range(node.lineno, end + 1))
    return best


def inner_lines(mutant: Mutant) -> set[int]:
    """The lines inside the function the mutant stands in: what runs when it is called."""
    tree = ast.parse(source_of(mutant.module).read_text(encoding="utf-8"))
    for node in ast.walk(tree):
        if (
            isinstance(node, ast.FunctionDef)
            and mutant.place.rpartition(".")[2] == node.name
            and node.lineno <= mutant.line <= (node.end_lineno or 0)
        ):
            return set(range(node.body[0].lineno, (node.end_lineno or 0) + 1))
    return {mutant.line}


def within(tests: list[str], seconds: dict[str, float], most: float) -> list[str]:
    """The quickest test of each file, then the next of each, as long as the time allows."""
    files: dict[str, list[str]] = defaultdict(list)
    for test in sorted(tests, key=seconds.__getitem__):
        files[test.partition("::")[0]].append(test)
    chosen, spent = [], 0.0
    for turn in zip_longest(*files.values()):
        for test in turn:
            if test is not None and (not chosen or spent + seconds[test] <= most):
                chosen.append(test)
                spent += seconds[test]
    return chosen


def codes_in(code: CodeType) -> Iterator[CodeType]:
    """Every function's code inside a module's or a class's code, not those inside functions."""
    for inner in code.co_consts:
        if isinstance(inner, CodeType):
            yield inner
            yield from codes_in(inner)


def functions_by_code() -> dict[tuple[str, str], list[FunctionType]]:
    """Every function there is, by the file and the name of its code."""
    found: dict[tuple[str, str], list[FunctionType]] = defaultdict(list)
    for thing in gc.get_objects():
        if isinstance(thing, FunctionType):
            found[thing.__code__.co_filename, thing.__code__.co_qualname].append(thing)
    return found


def in_a_fresh_program(
    mutant: Mutant, tests: list[str], seconds: dict[str, float]
) -> tuple[str, str]:
    """The same tests where the mutant is there from the first import."""
    most = 30.0 + TIMES_AS_LONG * sum(seconds[test] for test in tests)
    environment = {
        **os.environ,
        "RAILSHEET_MUTANT": json.dumps(asdict(mutant)),
        "PYTHONPATH": os.pathsep.join([str(ROOT), str(Path(__file__).parent)]),
    }
    try:
        done = subprocess.run(
            [sys.executable, "-m", "pytest", *OPTIONS, "-x", "-p", "killers", *tests],
            cwd=ROOT, env=environment, capture_output=True, text=True, timeout=most, check=False,
        )  # fmt: skip
    except subprocess.TimeoutExpired:
        return "no end", "timeout"
    if done.returncode == 0:
        return "survived", ""
    lines = [line for line in done.stdout.splitlines() if line.startswith(("FAILED", "ERROR"))]
    return "killed", f"fresh: {lines[0] if lines else done.returncode}"


def _import_with(mutant: Mutant) -> None:
    """From here on the mutant's module is imported with the mutant in it."""
    tree = tree_with(mutant)
    source = str(source_of(mutant.module))
    true_code = SourceFileLoader.get_code

    def get_code(self: SourceFileLoader, fullname: str) -> CodeType | None:
        if self.path == source and tree is not None:
            return compile(tree, source, "exec")
        return true_code(self, fullname)

    SourceFileLoader.get_code = get_code  # type: ignore[method-assign]
    same_each_time()


if "RAILSHEET_MUTANT" in os.environ:
    _import_with(Mutant(**json.loads(os.environ["RAILSHEET_MUTANT"])))
