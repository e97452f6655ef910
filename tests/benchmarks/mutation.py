"""Mutation: how many small faults do the tests of their package notice?

    python -m tests.benchmarks.mutation --sample 150 --seed 1
    python -m tests.benchmarks.mutation --only bench/core/stick.py --sample 0      (0: every one)

Each fault is put into its module as it is imported, in a process of its own; nothing is written to the sources. The
tests that pass through its line run first, then all of its package, until one fails. A fault that makes them run three
times as long as usual is noticed too. What survives is listed: some of it is no fault at all (another way to the same
result), the rest lacks a test. Interrupted, it gives the figures so far.
"""

from __future__ import annotations

import argparse
import importlib
import importlib.abc
import importlib.machinery
import os
import random
import signal
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path
from types import CodeType, ModuleType

from coverage import Coverage, CoverageData

from tests.benchmarks.mutants import Mutant, mutants_of

TESTS: dict[str, tuple[str, ...]] = {
    "bench/core": ("tests/core", "tests/corrections", "tests/sticks"),
    "bench/language": (
        "tests/language/test_edges.py",
        "tests/language/test_grammar.py",
        "tests/language/test_numbers.py",
        "tests/language/test_numerals.py",
        "tests/language/test_speak.py",
        "tests/language/test_spoken_measures.py",
        "tests/language/test_understand.py",
        "tests/language/test_phrases.py",
        "tests/dialogue/test_scripts.py",
    ),
    "bench/dialogue": ("tests/dialogue",),
    "bench/job": ("tests/job", "tests/dialogue/test_scripts.py", "tests/sheet/test_spellings.py"),
    "bench/memory": ("tests/memory", "tests/assistant/test_session.py"),
    "bench/assistant": (
        "tests/assistant/test_loop.py",
        "tests/assistant/test_names.py",
        "tests/assistant/test_performer.py",
        "tests/assistant/test_session.py",
        "tests/assistant/test_settings.py",
        "tests/assistant/test_typed.py",
        "tests/memory/test_digests.py",
    ),
}
"""The tests that answer for a package. Those that take long for what they add (every sound against every other, random
conversations, drawings) are left out: the figure is low by what they alone would notice."""

PATIENCE = 600.0
"""Seconds allowed for the tests of a package without a fault."""
_HEAVY = ("pytest", "hypothesis", "numpy", "scipy.integrate", "shapely", "mpmath", "cattrs", "num2words")
_SURVIVED, _NOTICED = 0, 1


class _Faulty(importlib.machinery.SourceFileLoader):
    """Loads one module with a fault in it."""

    def __init__(self, mutant: Mutant) -> None:
        super().__init__(mutant.module, str(mutant.path.absolute()))
        self._mutant = mutant

    def get_code(self, fullname: str) -> CodeType:
        """The code of the changed tree; never from or into the cache."""
        return compile(self._mutant.tree(), self.path, "exec")


class _Finder(importlib.abc.MetaPathFinder):
    def __init__(self, mutant: Mutant) -> None:
        self._mutant = mutant

    def find_spec(
        self, fullname: str, path: Sequence[str] | None, target: ModuleType | None = None
    ) -> importlib.machinery.ModuleSpec | None:
        """The faulty module in place of the sound one; every other as usual."""
        if fullname != self._mutant.module:
            return None
        package = (
            [str(self._mutant.path.absolute().parent)] if self._mutant.path.name == "__init__.py" else None
        )
        spec = importlib.machinery.ModuleSpec(
            fullname, _Faulty(self._mutant), origin=str(self._mutant.path), is_package=package is not None
        )
        spec.submodule_search_locations = package
        spec.has_location = True
        return spec


class Suite:
    """The tests that answer for a package: how long they take, and which of them pass through which line."""

    def __init__(self, package: str) -> None:
        """Run them once without a fault. Ends the program when they fail."""
        self.tests = [name for name in TESTS[package] if Path(name).exists()]
        with tempfile.TemporaryDirectory() as folder:
            file = str(Path(folder) / "coverage")
            code, seconds = run_tests(None, self.tests, PATIENCE, (package, file))
            if code != _SURVIVED:
                sys.exit(f"{' '.join(self.tests)} fail without a fault, or take too long.")
            data = CoverageData(file)
            data.read()
            self._passing = {name: data.contexts_by_lineno(name) for name in data.measured_files()}
        self._limit = 3 * seconds
        print(f"{' '.join(self.tests)}: {seconds:.0f} s without a fault.", flush=True)

    def notices(self, mutant: Mutant) -> bool:
        """Whether a test fails, or no longer ends."""
        passing = self._through(mutant)
        return any(
            run_tests(mutant, tests, self._limit)[0] != _SURVIVED for tests in (passing, self.tests) if tests
        )

    def _through(self, mutant: Mutant) -> list[str]:
        contexts = self._passing.get(str(mutant.path.absolute()), {}).get(mutant.line, [])
        return sorted({_as_file(context) for context in contexts if context} - {""})


def _as_file(context: str) -> str:
    """`tests/core/test_laws.py::test_x` for the context `tests.core.test_laws.test_x`."""
    module, _, function = context.rpartition(".")
    file = Path(*module.split(".")).with_suffix(".py")
    return f"{file}::{function}" if file.exists() else ""


def run_tests(
    mutant: Mutant | None, tests: Sequence[str], limit: float, measured: tuple[str, str] | None = None
) -> tuple[int, float]:
    """Exit status of the tests in a process of their own, and the seconds taken; noticed when it must be killed.

    `measured` is a package and the file for what is covered of it.
    """
    began = time.monotonic()
    child = os.fork()
    if child == 0:
        _in_child(mutant, tests, measured)
    while time.monotonic() - began < limit:
        done, status = os.waitpid(child, os.WNOHANG)
        if done:
            return os.waitstatus_to_exitcode(status), time.monotonic() - began
        time.sleep(0.02)
    os.killpg(child, signal.SIGKILL)
    os.waitpid(child, 0)
    return _NOTICED, limit


def _in_child(mutant: Mutant | None, tests: Sequence[str], measured: tuple[str, str] | None) -> None:
    os.setsid()
    silent = os.open(os.devnull, os.O_WRONLY)
    os.dup2(silent, 1)
    os.dup2(silent, 2)
    code = 3
    try:
        if mutant is not None:
            sys.meta_path.insert(0, _Finder(mutant))
        code = _covered(tests, *measured) if measured else _pytest(tests)
    finally:
        os._exit(code)


def _pytest(tests: Sequence[str]) -> int:
    import pytest

    options = [
        "-x",
        "-q",
        "-o",
        "addopts=",
        "--import-mode=importlib",
        "-p",
        "no:cacheprovider",
        "-p",
        "no:xdist",
        "-p",
        "no:timeout",
    ]
    return int(pytest.main([*options, "--hypothesis-seed=0", *tests]))


def _covered(tests: Sequence[str], package: str, file: str) -> int:
    coverage = Coverage(data_file=file, config_file=False, include=[f"{package}/*"])
    coverage.set_option("run:dynamic_context", "test_function")
    coverage.start()
    code = _pytest(tests)
    coverage.stop()
    coverage.save()
    return code


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--sample", type=int, default=150, help="so many faults at random; 0 for all")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", type=Path, nargs="*", help="modules or packages instead of all")
    args = parser.parse_args()
    os.nice(10)
    for name in _HEAVY:
        importlib.import_module(name)
    chosen = sample(args.only or [Path(name) for name in TESTS], args.sample, args.seed)
    suites = {package: Suite(package) for package in dict.fromkeys(map(package_of, chosen))}
    counts: Counter[tuple[str, bool]] = Counter()
    with suppress(KeyboardInterrupt):
        for number, mutant in enumerate(chosen, 1):
            noticed = suites[package_of(mutant)].notices(mutant)
            counts[package_of(mutant), noticed] += 1
            if not noticed:
                print(f"{number}: {mutant.path}:{mutant.line}  {mutant.what}", flush=True)
    print("\n| package | faults | noticed |\n|---|---|---|")
    for package in (*TESTS, ""):
        seen = sum(n for (name, _), n in counts.items() if name.startswith(package))
        noticed_here = sum(n for (name, yes), n in counts.items() if yes and name.startswith(package))
        if seen:
            print(f"| {package or 'all'} | {seen} | {noticed_here} ({100 * noticed_here / seen:.0f} %) |")


def package_of(mutant: Mutant) -> str:
    """The package a fault is in."""
    (package,) = (name for name in TESTS if mutant.path.is_relative_to(name))
    return package


def sample(places: Sequence[Path], count: int, seed: int) -> list[Mutant]:
    """Faults at random over all modules of the places, each as likely as the next; all of them for 0."""
    files = [
        file for place in places for file in (sorted(place.rglob("*.py")) if place.is_dir() else [place])
    ]
    every = [mutant for file in files for mutant in mutants_of(file)]
    print(f"{len(every)} faults can be made in {len(files)} modules.", flush=True)
    return random.Random(seed).sample(every, count) if 0 < count < len(every) else every


if __name__ == "__main__":
    main()
