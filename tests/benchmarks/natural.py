"""Whether what people say does what the canonical answer does, state by state.

    python -m tests.benchmarks.natural [FILE.tsv ...] [--misses]

Without a file the project's own table is run, `tests/dialogue/natural.toml`. A TSV has the columns: state, answers
before (separated by ` / `; `>CHECK` is as many "next" as bring up that verb), answer, phrase; lines with `#` are
remarks. The phrase must leave the same state, words and effects as the answer does. Exit code 1 under `--least`.
"""

from __future__ import annotations

import argparse
import sys
import tomllib
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

from bench.dialogue.effects import Effect, Show
from bench.dialogue.state import State
from bench.job.records import Record, RecordKind
from tests.dialogue.conversation import Conversation

OWN = Path(__file__).parents[1] / "dialogue" / "natural.toml"
_MOST_STEPS = 60


@dataclass(frozen=True, slots=True)
class Row:
    """One phrase: the state's name, how to get there, the answer whose effect it must have."""

    state: str
    before: tuple[str, ...]
    answer: str
    phrase: str


def from_tsv(path: Path) -> Iterator[Row]:
    """The rows of a table with tabs between its columns."""
    for line in path.read_text(encoding="utf-8").splitlines():
        if line.startswith(("#", "state\t")) or not line.strip():
            continue
        state, before, answer, phrase = line.split("\t")
        yield Row(state, tuple(one for one in before.split(" / ") if one), answer, phrase)


def own(path: Path = OWN) -> Iterator[Row]:
    """The rows of the project's own table."""
    for state in tomllib.loads(path.read_text(encoding="utf-8"))["state"]:
        for answer, phrases in state["same"].items():
            for phrase in phrases:
                yield Row(state["name"], tuple(state["before"]), answer, phrase)


@cache
def at(before: tuple[str, ...]) -> Conversation:
    """The conversation after these answers. Raises ValueError for a verb that never comes up."""
    talk = Conversation()
    talk.start()
    for answer in before:
        if answer.startswith(">"):
            _until(talk, answer[1:])
        else:
            talk.say(answer)
    return talk


def _until(talk: Conversation, verb: str) -> None:
    for _ in range(_MOST_STEPS):
        if talk.view.verb == verb:
            return
        talk.say("next")
    raise ValueError(f"{verb} never comes up; it stays at {talk.view.verb}")


def same_effect(row: Row) -> bool:
    """Whether the phrase does what the answer does."""
    return _outcome(row.before, row.phrase) == _outcome(row.before, row.answer)


@cache
def _outcome(before: tuple[str, ...], words: str) -> tuple[State, tuple[Effect, ...]]:
    talk = at(before).branch()
    talk.say(words)
    kept = tuple(_plain(effect) for effect in talk.effects if not _is_log(effect))
    return replace(talk.state, heard=""), kept


def _plain(effect: Effect) -> Effect:
    return Show(replace(effect.view, heard="")) if isinstance(effect, Show) else effect


def _is_log(effect: Effect) -> bool:
    return isinstance(effect, Record) and effect.kind is RecordKind.HEARD


def main() -> int:
    """Print the share for each state, and what was missed."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("files", nargs="*", type=Path)
    parser.add_argument("--misses", action="store_true", help="list what was missed")
    parser.add_argument("--least", type=float, default=0.98, help="share under which the exit code is 1")
    args = parser.parse_args()
    rows = [row for file in args.files for row in from_tsv(file)] if args.files else list(own())
    total, right = Counter(row.state for row in rows), Counter[str]()
    for row in rows:
        if same_effect(row):
            right[row.state] += 1
        elif args.misses:
            print(f"missed at {row.state}: {row.phrase!r} is not {row.answer!r}")
    for state, count in total.items():
        print(f"{state:<14} {right[state]:>4} of {count:>4}")
    share = right.total() / total.total()
    print(f"{'all':<14} {right.total():>4} of {total.total():>4}  {share:.1%}")
    return 0 if share >= args.least else 1


if __name__ == "__main__":
    sys.exit(main())
