"""The tables of `tests.benchmarks.hearing`: one recognizer and both, side by side."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence

from tests.benchmarks.records import Outcome, Trial

SURE = 0.9
_LEVELS = (None, 15.0, 6.0, 0.0)


def table(trials: Sequence[Trial]) -> Iterator[str]:
    """All of it, as text."""
    groups = list(dict.fromkeys(trial.what for trial in trials))
    yield "| % | n | one recognizer: clean / 15 / 6 / 0 dB | both |"
    yield "|---|---|---|---|"
    for what in groups:
        mine = [trial for trial in trials if trial.what == what]
        yield _several(what, mine) if mine[0].words else _single(what, mine)
    single = [trial for trial in trials if not trial.words]
    yield ""
    for name, of in (("one recognizer", _first), ("both", _both)):
        yield _sure_and_wrong(name, [(trial, of(trial)) for trial in single])
    yield ""
    yield from _added(groups, single)


def _single(what: str, trials: Sequence[Trial]) -> str:
    shares = [_levels(trials, lambda one, of=of: 100 * of(one).right) for of in (_first, _both)]  # type: ignore[misc]
    return f"| {what}, right | {_count(trials)} | {shares[0]} | {shares[1]} |"


def _several(what: str, trials: Sequence[Trial]) -> str:
    """Words wrong, of all words."""
    shares = []
    for at in (0, 1):
        levels = [[one for one in trials if one.noise == level] for level in _LEVELS]
        rates = [
            100 * sum(one.words_wrong[at] for one in level) / sum(one.words for one in level)
            for level in levels
            if level
        ]
        shares.append(" / ".join(f"{rate:.1f}" for rate in rates))
    words = sum(one.words for one in trials if one.noise is None)
    return f"| {what}, words wrong | {words} words | {shares[0]} | {shares[1]} |"


def _levels(trials: Sequence[Trial], value: Callable[[Trial], float]) -> str:
    levels = [[value(one) for one in trials if one.noise == level] for level in _LEVELS]
    return " / ".join(f"{sum(level) / len(level):.1f}" for level in levels if level)


def _count(trials: Sequence[Trial]) -> int:
    return sum(one.noise is None for one in trials)


def _sure_and_wrong(name: str, trials: Sequence[tuple[Trial, Outcome]]) -> str:
    """How often Bench would act, very sure, on a number that nobody said."""
    wrong = [
        (trial, found) for trial, found in trials if found.wrong and found.number and found.confidence >= SURE
    ]
    told = "; ".join(
        f"{trial.said} as {found.text} {found.confidence:.2f} ({_at(trial.noise)})" for trial, found in wrong
    )
    line = (
        f"{name}: a wrong number acted on with a confidence of {SURE} or more: {len(wrong)} of {len(trials)}"
    )
    return f"{line}: {told}" if told else line


def _added(groups: Sequence[str], trials: Sequence[Trial]) -> Iterator[str]:
    """What each recognizer adds, and what becomes of it."""
    yield (
        "| %, all levels | n | first right | second right | only the first | only the second | both "
        "| true reading among the first's | among the second's | among either's "
        "| taken, one recognizer | taken, both | wrong taken, one | wrong taken, both | time a second of sound |"
    )
    yield "|---|---|---|---|---|---|---|---|---|---|---|---|---|---|---|"
    for what in groups:
        mine = [trial for trial in trials if trial.what == what]
        if not mine:
            continue
        columns: tuple[Callable[[Trial], bool], ...] = (
            lambda one: one.first.right,
            lambda one: one.second_right,
            lambda one: one.first.right and not one.second_right,
            lambda one: one.second_right and not one.first.right,
            lambda one: one.both.right,
            lambda one: one.first.among,
            lambda one: one.second_among,
            lambda one: one.first.among or one.second_among,
            lambda one: one.first.taken,
            lambda one: one.both.taken,
            lambda one: one.first.wrong,
            lambda one: one.both.wrong,
        )
        shares = " | ".join(f"{100 * sum(map(column, mine)) / len(mine):.1f}" for column in columns)
        speed = sum(one.took for one in mine) / sum(one.seconds for one in mine)
        yield f"| {what} | {len(mine)} | {shares} | {speed:.2f} |"


def confusions(trials: Sequence[Trial]) -> Iterator[str]:
    """What both took for what, the most frequent first."""
    found = Counter(
        (one.said, one.both.text or "-", _at(one.noise))
        for one in trials
        if (one.words_wrong[1] if one.words else not one.both.right)
    )
    yield "| said | heard | noise | times |"
    yield "|---|---|---|---|"
    for (said, heard, noise), times in found.most_common():
        yield f"| {said} | {heard} | {noise} | {times} |"


def _first(trial: Trial) -> Outcome:
    return trial.first


def _both(trial: Trial) -> Outcome:
    return trial.both


def _at(level: float | None) -> str:
    return "clean" if level is None else f"{level:.0f} dB"
