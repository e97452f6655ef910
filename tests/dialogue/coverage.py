"""Where the scripted conversations have been, as a table.

    python -m tests.dialogue.coverage

One row a stage: how many of the always-valid commands and keys were given there, the answers, the bends.
"""

from __future__ import annotations

import sys
from collections import Counter
from functools import cache

from bench.core.bends import BENDS
from bench.dialogue.always import ALWAYS
from bench.dialogue.commands import COMMANDS
from bench.dialogue.events import Key
from bench.dialogue.state import Stage
from tests.dialogue.conversation import Visit
from tests.dialogue.script import run_script, scripts

KEYS = tuple(f"key {key}" for key in Key)
BEND_STAGES = (Stage.ASK, Stage.READ_BACK, Stage.WORK)
"""Stages that every bend goes through."""


@cache
def visits() -> Counter[Visit]:
    """Every (stage, bend, answer) of all scripts, and how often."""
    counted: Counter[Visit] = Counter()
    for path in scripts():
        counted.update(run_script(path).visits)
    return counted


def answers_at(stage: Stage) -> frozenset[str]:
    """What was answered at a stage, whatever the bend."""
    return frozenset(what for where, _, what in visits() if where is stage)


def bends_at(stage: Stage) -> frozenset[str]:
    """The bends in hand at a stage."""
    return frozenset(bend for where, bend, _ in visits() if where is stage and bend)


def table() -> str:
    """The coverage as a table in Markdown."""
    rows = ["| stage | always-valid | keys | other answers | bends |", "|---|---|---|---|---|"]
    for stage in Stage:
        given = answers_at(stage)
        others = sorted(given - {*ALWAYS, *KEYS})
        bends = len(bends_at(stage))
        rows.append(
            f"| {stage} | {len(given & {*ALWAYS})}/{len(ALWAYS)} | {len(given & {*KEYS})}/{len(KEYS)} "
            f"| {', '.join(others)} | {bends}/{len(BENDS)} |"
        )
    commands = {what for _, _, what in visits()} & {*COMMANDS}
    rows.append("")
    rows.append(
        f"{len(scripts())} conversations, {sum(visits().values())} events, {len(visits())} different "
        f"(stage, bend, answer), {len(commands)} of {len(COMMANDS)} commands."
    )
    return "\n".join(rows)


if __name__ == "__main__":
    sys.stdout.write(f"{table()}\n")
