"""Utterances to fit confidence to, and a check of its calibration."""

from __future__ import annotations

import argparse
import itertools
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from bench.ears.confidence import Evidence
from tests.benchmarks import false_accepts, hearing
from tests.benchmarks.parts import load, options, study_of
from tests.benchmarks.records import Track, Trial

Floats = NDArray[np.float64]
EDGES = (0.0, 0.1, 0.25, 0.45, 0.6, 0.75, 0.9, 1.01)


@dataclass(frozen=True)
class Case:
    """One utterance: what spoke for its best reading, whether it was for us and that reading right, by each recognizer.

    Every second one that is for us and the second half of the talk are not learned from, but `check` what was learned.
    """

    alone: Evidence | None
    joint: tuple[float, ...]
    ours: bool
    first_right: bool
    both_right: bool
    check: bool


def cases(text: str | None) -> tuple[argparse.Namespace, list[Case]]:
    """The options, and the cases: out of results of `hearing` and `false_accepts`, or measured now."""
    parser = options(text)
    parser.add_argument(
        "results", type=Path, nargs="*", help="written by hearing and false_accepts with --out"
    )
    parser.add_argument("--write", type=Path, metavar="FILE", help="put the lines into this bench.toml")
    args = parser.parse_args()
    if args.results:
        spoken = [path for path in args.results if study_of(path) == hearing.STUDY]
        talk = [path for path in args.results if study_of(path) == false_accepts.STUDY]
        if not spoken or not talk:
            raise SystemExit(
                "Give results of both: tests.benchmarks.hearing and tests.benchmarks.false_accepts."
            )
        trials, tracks = load(hearing.STUDY, spoken, Trial), load(false_accepts.STUDY, talk, Track)
    else:
        args.ears, args.hours = ["auto"], 0.0
        trials, tracks = hearing.measured(args), false_accepts.measured(args)
    return args, [*_spoken(trials), *_talked(tracks)]


def _spoken(trials: Sequence[Trial]) -> Iterator[Case]:
    for one in trials:
        if not one.words:
            yield Case(
                one.alone, tuple(one.joint), True, one.first.right, one.both.right, one.number % 2 == 1
            )


def _talked(tracks: Sequence[Track]) -> Iterator[Case]:
    for track in tracks:
        if track.ear == "auto" and track.state != false_accepts.PAUSED:
            for number, one in enumerate(track.heard):
                check = 2 * number >= len(track.heard)
                yield Case(one.alone, tuple(one.joint), False, False, False, check)


def balanced(cases: Sequence[Case]) -> Floats:
    """Weights that make answers and talk equally frequent, one on average."""
    ours = np.array([case.ours for case in cases])
    half = len(cases) / 2
    found: Floats = np.where(ours, half / max(ours.sum(), 1), half / max((~ours).sum(), 1))
    return found


def halves(cases: Sequence[Case]) -> tuple[list[Case], list[Case]]:
    """Those that are learned from, and those that check."""
    return [one for one in cases if not one.check], [one for one in cases if one.check]


def table(cases: Sequence[Case], right: Sequence[bool], sure: Sequence[float] | Floats) -> Iterator[str]:
    """Of what was heard with some confidence, how much was for us and right."""
    yield "| confidence | utterances for us | right | not for us | expected right | right, weighed equally |"
    yield "|---|---|---|---|---|---|"
    weights = balanced(cases)
    for low, high in itertools.pairwise(EDGES):
        inside = [at for at, one in enumerate(sure) if low <= one < high]
        if not inside:
            continue
        ours = sum(cases[at].ours for at in inside)
        hits = sum(right[at] for at in inside)
        weight = sum(weights[at] for at in inside)
        expected = sum(weights[at] * sure[at] for at in inside) / weight
        found = sum(weights[at] for at in inside if right[at]) / weight
        counts = f"{ours} | {hits} | {len(inside) - ours}"
        yield f"| {low:.2f} to {min(high, 1):.2f} | {counts} | {expected:.2f} | {found:.2f} |"


def write_lines(file: Path, lines: dict[str, str]) -> None:
    """Put `key = value` lines into the table [confidence] of a TOML file, in place of those that stand there."""
    text = file.read_text(encoding="utf-8")
    before, heading, rest = text.partition("[confidence]\n")
    if not heading:
        raise SystemExit(f"{file} has no [confidence].")
    body, following = re.split(r"(?=^\[\w)|\Z", rest, maxsplit=1, flags=re.MULTILINE)
    for key, value in lines.items():
        line = f"{key} = {value}\n"
        kept = re.sub(rf"^{key} = .*\n", "", body, flags=re.MULTILINE)
        body = kept.rstrip("\n") + "\n" + line
    file.write_text(f"{before}{heading}{body}\n{following}".rstrip("\n") + "\n", encoding="utf-8")
