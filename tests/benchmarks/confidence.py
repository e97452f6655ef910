"""What confidence is worth: the curves of `bench.toml`, and whether they hold for clips they were not made from.

    python -m tests.benchmarks.confidence [--model DIR]

Untrained people and voices (`tests.benchmarks.hearing`) and talk for others as the ears cut it
(`tests.benchmarks.false_accepts`), at every noise level. Every second clip of what is for us and the first half of
the talk make the curves, the rest is the check: of what was heard with some confidence, how much was for us and
right. Each half counts what is for us and what is not as equally frequent. Curves are made monotonic by pooling
neighbors (Ayer et al. 1955).
"""

from __future__ import annotations

import argparse
import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from bench.data.phrases import lexicon
from bench.ears.confidence import Evidence, confidences
from bench.ears.model_directory import find_model, model_directory
from bench.ears.vosk_ear import VoskRecognizer
from bench.ears.whole import hear_whole
from bench.language.grammar import grammar_automaton
from bench.language.meaning import Expectation, Heard, Hypothesis, typed
from bench.language.understand import understand
from tests.benchmarks.false_accepts import STATES, segments, tracks
from tests.benchmarks.hearing import tasks
from tests.benchmarks.sounds import LEVELS, with_noise

GROUPS = 10
EDGES = (0.0, 0.1, 0.25, 0.45, 0.6, 0.75, 0.9, 1.01)


@dataclass(frozen=True)
class Trial:
    """One utterance: what spoke for its readings, whether it was for us, and whether the best one was right."""

    evidence: Evidence
    heard: Heard
    expectation: Expectation
    ours: bool
    right: bool
    check: bool


def spoken(ear: VoskRecognizer) -> Iterator[Trial]:
    """Clips that answer what was asked."""
    for task in tasks():
        ear.expect(task.expectation)
        for number, clip in enumerate(task.clips()):
            meant = understand(typed(clip.words), task.expectation, lexicon()).meaning
            for level in LEVELS:
                heard = hear_whole(ear, with_noise(clip.samples, level, number))
                if ear.evidence is not None:
                    best = Heard((Hypothesis(heard.hypotheses[0].words, 1.0),))
                    right = understand(best, task.expectation, lexicon()).meaning == meant
                    yield Trial(ear.evidence, heard, task.expectation, True, right, number % 2 == 1)


def talked(ear: VoskRecognizer) -> Iterator[Trial]:
    """Talk that is for somebody else."""
    for _, track in tracks(1):
        cut = segments(track)
        for number, sound in enumerate(cut):
            for name, expectation in STATES.items():
                if name != "paused":
                    ear.expect(expectation)
                    ear.accept(sound)
                    heard = ear.finish()
                    if ear.evidence is not None:
                        yield Trial(ear.evidence, heard, expectation, False, False, 2 * number >= len(cut))


def curve(
    values: Sequence[float], hits: Sequence[bool], weights: Sequence[float]
) -> list[tuple[float, float]]:
    """(value, how often hit), both rising. Half a trial is added to either side of each group."""
    order = np.argsort(values, kind="stable")
    pools = []
    for part in np.array_split(order, GROUPS):
        weight = np.take(weights, part)
        hit = float(np.sum(weight * np.take(hits, part)))
        pools.append([float(np.mean(np.take(values, part))), hit + 0.5, float(np.sum(weight)) + 1])
    at = 0
    while at + 1 < len(pools):
        (one, hit, many), (other, more, most) = pools[at : at + 2]
        if hit / many <= more / most:
            at += 1
            continue
        pools[at : at + 2] = [[(one * many + other * most) / (many + most), hit + more, many + most]]
        at = max(at - 1, 0)
    return [(value, hit / many) for value, hit, many in pools]


def balanced(trials: Sequence[Trial]) -> list[float]:
    """Weights under which what is for us and what is not are equally frequent, one on average."""
    ours = sum(trial.ours for trial in trials)
    half = len(trials) / 2
    return [half / ours if trial.ours else half / (len(trials) - ours) for trial in trials]


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--model", type=Path, default=find_model())
    args = parser.parse_args()
    ear = VoskRecognizer(model_directory(args.model), lambda one: grammar_automaton(one, lexicon()))
    trials = [*spoken(ear), *talked(ear)]
    ear.close()
    made, check = ([trial for trial in trials if trial.check is which] for which in (False, True))
    fits = [(trial.evidence.fit, trial.ours) for trial in made if trial.evidence.fit is not None]
    ours = curve([fit for fit, _ in fits], [us for _, us in fits], balanced(made)) if fits else []
    answers = [trial for trial in made if trial.ours]
    shares = [trial.evidence.shares[0] for trial in answers]
    right = [(0.0, 0.0), *curve(shares, [trial.right for trial in answers], [1.0] * len(answers))]
    for name, points in (("points", right), ("fit", ours)):
        print(f"{name} = [" + ", ".join(f"[{at:.3f}, {often:.4f}]" for at, often in points) + "]")
    print(f"\n{len(made)} utterances made the curves; {len(check)} others check them.\n")
    print("| confidence | utterances for us | right | not for us | expected right | right, weighed equally |")
    print("|---|---|---|---|---|---|")
    weights = balanced(check)
    sure = [confidences(trial.evidence, right, ours)[0] for trial in check]
    for low, high in itertools.pairwise(EDGES):
        inside = [at for at, one in enumerate(sure) if low <= one < high]
        if not inside:
            continue
        mine = sum(check[at].ours for at in inside)
        hit = sum(check[at].right for at in inside)
        weight = sum(weights[at] for at in inside)
        expected = sum(weights[at] * sure[at] for at in inside) / weight
        found = sum(weights[at] for at in inside if check[at].right) / weight
        counts = f"{mine} | {hit} | {len(inside) - mine}"
        print(f"| {low:.2f} to {min(high, 1):.2f} | {counts} | {expected:.2f} | {found:.2f} |")


if __name__ == "__main__":
    main()
