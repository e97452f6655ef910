"""What each recognizer takes to load, to change its grammar, and to hold in memory, each in a process of its own.

python -m tests.benchmarks.footprint [--model DIR]
"""

from __future__ import annotations

import argparse
import subprocess
import sys
import time
from pathlib import Path

from bench.data.phrases import lexicon
from bench.ears.choose import EARS, recognizer
from bench.ears.whole import hear_whole
from bench.language.grammar import plain_automaton
from tests.benchmarks import states
from tests.benchmarks.sounds import people, resident_megabytes
from tests.ears.corpus import sound


def measure(name: str, model: str | None) -> None:
    """Print a row. Importing, reading the phrases and the automata of the grammars come before the clock starts."""
    short, wide = states.yes_or_no(), states.length()
    plain_automaton(short, lexicon())
    plain_automaton(wide, lexicon())
    recognizer(name, model).close()
    before = resident_megabytes()
    began = time.perf_counter()
    ear = recognizer(name, model)
    ear.expect(short)
    loaded = time.perf_counter()
    ear.expect(wide)
    built = time.perf_counter()
    ear.expect(short)
    ear.expect(wide)
    swapped = time.perf_counter()
    hear_whole(ear, sound(people("speech-commands")[0]))
    held = resident_megabytes()
    times = (loaded - began, built - loaded, (swapped - built) / 2)
    shown = " | ".join(f"{seconds * 1000:.0f} ms" for seconds in times)
    print(f"| {ear.name} | {shown} | {held:.0f} MB ({held - before:+.0f}) |")
    ear.close()


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--model", type=Path)
    parser.add_argument("--ear", help=argparse.SUPPRESS)
    args = parser.parse_args()
    model = str(args.model) if args.model else None
    if args.ear:
        measure(args.ear, model)
        return
    print("| ear | load | new grammar | known grammar | memory of the process (the ear's part) |", flush=True)
    print("|---|---|---|---|---|", flush=True)
    for name in EARS:
        rest = ["--model", model] if model else []
        subprocess.run([sys.executable, "-m", __spec__.name, "--ear", name, *rest], check=True)


if __name__ == "__main__":
    main()
