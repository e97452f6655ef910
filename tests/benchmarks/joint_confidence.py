"""What the confidence of two listeners is worth: its weights, and whether they hold for what they were not fitted to.

    python -m tests.benchmarks.joint_confidence [--model DIR] [--second DIR] [--part 3]

Untrained people and voices (`tests.benchmarks.hearing`) and talk for others as the ears cut it
(`tests.benchmarks.false_accepts`), at every noise level. Every second clip of what is for us and the first half of the
talk fit the weights (logistic regression, a little ridge), the rest is the check: of what was heard with some
confidence, how much was for us and right. Both halves count what is for us and what is not as equally frequent. The
two lines go into `[confidence]` of the second listener's `bench.toml`.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize

from bench.data.phrases import lexicon
from bench.ears.joint import Joint
from bench.ears.two_listeners import TwoListeners
from bench.ears.whole import hear_whole
from bench.language.meaning import Heard, Hypothesis, typed
from bench.language.understand import understand
from tests.benchmarks.false_accepts import STATES, segments, tracks
from tests.benchmarks.hearing import both_listeners, options, tasks
from tests.benchmarks.sounds import LEVELS, with_noise

EDGES = (0.0, 0.1, 0.25, 0.45, 0.6, 0.75, 0.9, 1.01)
RIDGE = 0.02
ALONE = 2
"""Of the features, those of the second listener."""

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Trial:
    """One utterance: what spoke for its best reading, whether it was for us, and whether that reading was right."""

    evidence: Joint
    ours: bool
    right: bool
    check: bool


def spoken(ear: TwoListeners, part: int) -> Iterator[Trial]:
    """Clips that answer what was asked."""
    for task in tasks():
        ear.expect(task.expectation)
        for number, clip in enumerate(task.clips()[::part]):
            meant = understand(typed(clip.words), task.expectation, lexicon()).meaning
            for level in LEVELS:
                heard = hear_whole(ear, with_noise(clip.samples, level, number))
                evidence = ear.apart.evidence
                if evidence.readings:
                    best = Heard((Hypothesis(heard.hypotheses[0].words, 1.0),))
                    right = understand(best, task.expectation, lexicon()).meaning == meant
                    yield Trial(evidence, True, right, number % 2 == 1)


def talked(ear: TwoListeners, part: int) -> Iterator[Trial]:
    """Talk that is for somebody else."""
    for _, track in tracks(1):
        cut = segments(track)[::part]
        for name, expectation in STATES.items():
            if name == "paused":
                continue
            ear.expect(expectation)
            for number, sound in enumerate(cut):
                ear.accept(sound)
                ear.finish()
                evidence = ear.apart.evidence
                if evidence.readings:
                    yield Trial(evidence, False, False, 2 * number >= len(cut))


def balanced(trials: Sequence[Trial]) -> Floats:
    """Weights under which what is for us and what is not are equally frequent, one on average."""
    ours = np.array([trial.ours for trial in trials])
    half = len(trials) / 2
    found: Floats = np.where(ours, half / max(ours.sum(), 1), half / max((~ours).sum(), 1))
    return found


def design(trials: Sequence[Trial], features: int) -> Floats:
    """A row for each trial: its first features and a one."""
    return np.array([[*trial.evidence.features[:features], 1.0] for trial in trials])


def fitted(trials: Sequence[Trial], features: int) -> Floats:
    """The weights under which what came out is likeliest."""
    rows, weights = design(trials, features), balanced(trials)
    signs = np.array([1.0 if trial.right else -1.0 for trial in trials])

    def cost(slopes: Floats) -> float:
        loss = weights @ np.logaddexp(0, -signs * (rows @ slopes))
        return float(loss + RIDGE * (slopes[:-1] ** 2).sum())

    found: Floats = minimize(cost, np.zeros(rows.shape[1]), method="BFGS").x
    return found


def chances(trials: Sequence[Trial], weights: Floats) -> Floats:
    """The confidence of each."""
    found: Floats = 1 / (1 + np.exp(-design(trials, len(weights) - 1) @ weights))
    return found


def table(trials: Sequence[Trial], sure: Floats) -> Iterator[str]:
    """Of what was heard with some confidence, how much was for us and right."""
    weights = balanced(trials)
    for low, high in itertools.pairwise(EDGES):
        inside = [at for at, one in enumerate(sure) if low <= one < high]
        if not inside:
            continue
        ours = sum(trials[at].ours for at in inside)
        right = sum(trials[at].right for at in inside)
        weight = sum(weights[at] for at in inside)
        expected = sum(weights[at] * sure[at] for at in inside) / weight
        found = sum(weights[at] for at in inside if trials[at].right) / weight
        counts = f"{ours} | {right} | {len(inside) - ours}"
        yield f"| {low:.2f} to {min(high, 1):.2f} | {counts} | {expected:.2f} | {found:.2f} |"


def main() -> None:
    """Print the weights and how they do."""
    args = options(__doc__).parse_args()
    ear = both_listeners(args)
    trials = [*spoken(ear, args.part), *talked(ear, args.part)]
    ear.close()
    made, check = ([trial for trial in trials if trial.check is which] for which in (False, True))
    for name, features in (("alone", ALONE), ("both", len(trials[0].evidence.features))):
        weights = fitted(made, features)
        print(f"\n{name} = [" + ", ".join(f"{one:.3f}" for one in weights) + "]")
        print(f"{len(made)} utterances made them; {len(check)} others check them.\n")
        print(
            "| confidence | utterances for us | right | not for us | expected right | right, weighed equally |"
        )
        print("|---|---|---|---|---|---|")
        for row in table(check, chances(check, weights)):
            print(row)


if __name__ == "__main__":
    main()
