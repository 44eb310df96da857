"""Running a room's tests against mutants, each in a process of its own.

Two ways. A fault inside a function is put into the function that everybody has imported already:
only its code is exchanged, so a process that has collected the tests once is forked for each
mutant, and of the tests only those run that came by the faulty line. A fault outside of functions
(a constant, a default) is there from the start: the process is forked before the module was
imported, and runs all tests of the room. What survives the first way is tried the second way, too.
"""

from __future__ import annotations

import ast
import importlib
import importlib.abc
import importlib.util
import inspect
import json
import os
import resource
import signal
import sys
import time
import traceback
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, redirect_stdout
from dataclasses import dataclass
from importlib.machinery import ModuleSpec
from types import CodeType, FrameType, FunctionType, ModuleType
from typing import Any, Literal

import pytest

from tests.mutation.operators import Mutant
from tests.mutation.rooms import path_of

Outcome = Literal["killed", "survived", "timed out"]

# A mutant may be slower than the code it came from; one that never ends is stopped.
_MIN_LIMIT_S = 6
_MAX_SLOWDOWN = 8
# A mutant that never stops growing is stopped, too.
_MAX_MEMORY = 6 * 2**30
# How a process ends that tried one.
_SURVIVED, _KILLED = 0, 1
_PYTEST = ("-q", "-p", "no:cacheprovider", "-m", "not slow")


@dataclass(frozen=True)
class _Seen:
    """What one test did without any fault: how long it took and the lines of the module it ran."""

    seconds: float
    lines: frozenset[int]


def try_out(module: str, tests: str, mutants: Sequence[Mutant], processes: int) -> list[Outcome]:
    """What became of each mutant of a module.

    Raises
    ------
    RuntimeError
        The tests fail without any fault.
    """
    answer = in_child(lambda: _first_way(module, tests, mutants, processes))
    if answer is None:
        raise RuntimeError(f"{tests} fails, or has no tests, without any fault in {module}")
    outcomes = dict(enumerate(answer["outcomes"]))
    seconds = dict(answer["seconds"])
    again = [i for i, outcome in outcomes.items() if outcome in (None, "survived")]
    _load_what_lies_below(module)

    def fresh(i: int) -> None:
        with _replaced(module, mutants[i].put_in()):
            _run_all(tests, seconds)
        os._exit(_SURVIVED)

    limit_s = _limit_s(sum(seconds.values()) + 2)
    outcomes |= _each_in_a_child(again, fresh, lambda i: limit_s, processes)
    return [outcomes[i] for i in range(len(mutants))]


# --- the first way -----------------------------------------------------------------------------


def _first_way(
    module: str, tests: str, mutants: Sequence[Mutant], processes: int
) -> dict[str, Any] | None:
    """Outcomes of the faults inside functions (None for others), and the tests' seconds."""
    loop = _Loop(module, mutants, processes)
    with open(os.devnull, "w") as nothing, redirect_stdout(nothing):
        pytest.main([*_PYTEST, "--capture=no", tests], plugins=[loop, _LeaveAtFirstFailure()])
    return loop.answer


class _Loop:
    """Takes the place of pytest's own loop over the tests that it has collected."""

    def __init__(self, module: str, mutants: Sequence[Mutant], processes: int) -> None:
        self.module, self.mutants, self.processes = module, mutants, processes
        self.answer: dict[str, Any] | None = None

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """Run the tests once as they are, and then against each mutant."""
        items = session.items
        module = importlib.import_module(self.module)
        told = in_child(lambda: _watched(items, str(module.__file__)))
        if not told:
            return True
        seen = [_Seen(t["seconds"], frozenset(t["lines"])) for t in told]

        def who_ran(mutant: Mutant) -> list[int]:
            there = [i for i, s in enumerate(seen) if not s.lines.isdisjoint(mutant.lines)]
            return sorted(there, key=lambda i: seen[i].seconds)

        def one(k: int) -> None:
            mutant = self.mutants[k]
            _exchange(module, mutant)
            _run([items[i] for i in who_ran(mutant)])
            os._exit(_SURVIVED)

        def limit_s(k: int) -> int:
            return _limit_s(sum(seen[i].seconds for i in who_ran(self.mutants[k])))

        inside = [k for k, m in enumerate(self.mutants) if m.scope is not None]
        outcomes = _each_in_a_child(inside, one, limit_s, self.processes)
        self.answer = {
            "outcomes": [outcomes.get(k) for k in range(len(self.mutants))],
            "seconds": [(item.nodeid, s.seconds) for item, s in zip(items, seen, strict=True)],
        }
        return True


class _LeaveAtFirstFailure:
    """Ends the process at the first test that fails: how it looks would take long to tell."""

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtest_makereport(self, call: pytest.CallInfo[None]) -> None:
        """Look at what a test raised before anything is made of it."""
        if call.excinfo is not None and not call.excinfo.errisinstance(pytest.skip.Exception):
            os._exit(_KILLED)


def _run(items: Sequence[pytest.Item]) -> None:
    for item, following in zip(items, [*items[1:], None], strict=True):
        item.config.hook.pytest_runtest_protocol(item=item, nextitem=following)


def _watched(items: Sequence[pytest.Item], file: str) -> list[dict[str, Any]]:
    """Seconds and lines of each test. A test that fails ends this process."""
    lines: set[int] = set()

    def line(frame: FrameType, event: str, arg: object) -> Any:
        lines.add(frame.f_lineno)
        return line

    def call(frame: FrameType, event: str, arg: object) -> Any:
        return line(frame, event, arg) if frame.f_code.co_filename == file else None

    told = []
    for item in items:
        lines.clear()
        began = time.perf_counter()
        sys.settrace(call)
        _run([item])
        sys.settrace(None)
        told.append({"seconds": time.perf_counter() - began, "lines": sorted(lines)})
    return told


def _exchange(module: ModuleType, mutant: Mutant) -> None:
    """Give a function, wherever it was imported to, the code of its faulty twin."""
    assert mutant.scope is not None
    path = mutant.scope.split(".")
    code: CodeType = compile(mutant.put_in(), str(module.__file__), "exec")
    for name in path:
        code = next(c for c in code.co_consts if isinstance(c, CodeType) and c.co_name == name)
    holder: Any = module
    for name in path[:-1]:
        holder = getattr(holder, name)
    _function(inspect.getattr_static(holder, path[-1])).__code__ = code


def _function(found: Any) -> FunctionType:
    """The function behind a property, a static method or a decorator."""
    for inner in ("fget", "func", "__func__"):
        found = getattr(found, inner, None) or found
    function = inspect.unwrap(found)
    assert isinstance(function, FunctionType)
    return function


# --- the second way ----------------------------------------------------------------------------


def _load_what_lies_below(module: str) -> None:
    """Import what a module needs, and not the module: it is made anew in each process."""
    tree = ast.parse(path_of(module).read_text(encoding="utf-8"))
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom) and node.module and node.module != module:
            importlib.import_module(node.module)
    for loaded in list(sys.modules):
        # In a circle of imports it may have come along.
        if loaded == module:
            raise RuntimeError(f"{module} is imported by what it needs")


@contextmanager
def _replaced(module: str, tree: ast.Module) -> Iterator[None]:
    """Whoever imports the module from now on gets this one."""

    class Faulty(importlib.abc.MetaPathFinder, importlib.abc.InspectLoader):
        def find_spec(self, name: str, path: object, target: object = None) -> ModuleSpec | None:
            if name != module:
                return None
            return importlib.util.spec_from_file_location(name, path_of(module), loader=self)

        def exec_module(self, made: ModuleType) -> None:
            exec(compile(tree, str(path_of(module)), "exec"), made.__dict__)

        def get_source(self, name: str) -> str:
            return path_of(module).read_text(encoding="utf-8")

    finder = Faulty()
    sys.meta_path.insert(0, finder)
    try:
        yield
    finally:
        sys.meta_path.remove(finder)


def _run_all(tests: str, seconds: dict[str, float]) -> None:
    """Run all tests, the quick ones first."""

    class QuickFirst:
        def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
            items.sort(key=lambda item: seconds.get(item.nodeid, 0.0))

    if pytest.main([*_PYTEST, tests], plugins=[QuickFirst(), _LeaveAtFirstFailure()]) != 0:
        os._exit(_KILLED)


# --- processes ---------------------------------------------------------------------------------


def _limit_s(usual_s: float) -> int:
    return _MIN_LIMIT_S + round(_MAX_SLOWDOWN * usual_s)


def in_child(work: Callable[[], Any]) -> Any:
    """What a piece of work gives, done in a fork; None where it fails, having said why."""
    reading, writing = os.pipe()
    sys.stdout.flush()
    pid = os.fork()
    if pid == 0:
        os.close(reading)
        try:
            answer = json.dumps(work())
            with os.fdopen(writing, "w") as out:
                out.write(answer)
        except BaseException:
            traceback.print_exc()
        finally:
            os._exit(0)
    os.close(writing)
    with os.fdopen(reading) as answered:
        text = answered.read()
    os.waitpid(pid, 0)
    return json.loads(text) if text else None


def _each_in_a_child(
    numbers: Sequence[int],
    work: Callable[[int], None],
    limit_s: Callable[[int], int],
    processes: int,
) -> dict[int, Outcome]:
    """Fork for each number; `work` leaves the process with what became of the mutant."""
    waiting = list(reversed(numbers))
    running: dict[int, int] = {}
    outcomes: dict[int, Outcome] = {}
    while waiting or running:
        if waiting and len(running) < processes:
            number = waiting.pop()
            sys.stdout.flush()
            pid = os.fork()
            if pid == 0:
                try:
                    _be_silent()
                    # Left to itself the signal ends the process, whatever it is busy with.
                    signal.signal(signal.SIGALRM, signal.SIG_DFL)
                    signal.alarm(limit_s(number))
                    resource.setrlimit(resource.RLIMIT_AS, (_MAX_MEMORY, _MAX_MEMORY))
                    work(number)
                finally:
                    os._exit(_KILLED)
            running[pid] = number
            continue
        pid, status = os.wait()
        number = running.pop(pid)
        if os.WIFSIGNALED(status) and os.WTERMSIG(status) == signal.SIGALRM:
            outcomes[number] = "timed out"
        else:
            outcomes[number] = "survived" if status == _SURVIVED else "killed"
    return outcomes


def _be_silent() -> None:
    nothing = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nothing, 1)
    os.dup2(nothing, 2)
