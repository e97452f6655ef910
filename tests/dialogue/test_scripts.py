"""Scripted conversations: one for every bend; set-up, calibration, sticks, lists, restarts, troubles.

Between them they go everywhere: every stage, every always-valid command and key in it, every bend, every command.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from bench.core.bends import BENDS
from bench.data.bundle import knowledge
from bench.dialogue.always import ALWAYS
from bench.dialogue.commands import COMMANDS
from bench.dialogue.stages import STAGES
from bench.dialogue.state import Stage
from bench.language.meaning import Kind
from tests.dialogue.conversation import Differs
from tests.dialogue.coverage import BEND_STAGES, KEYS, answers_at, bends_at, table, visits
from tests.dialogue.script import run_script, run_text, scripts

ANSWERED = {
    Stage.RESUME: {"yes", "no", "silence"},
    Stage.SETUP_AGAIN: {"yes", "no", "silence"},
    Stage.CONDUIT: {"emt", "rmc", "imc", "aluminum", "coated", "metric", "not understood"},
    Stage.SIZE: {Kind.SIZE, "not understood"},
    Stage.BENDER: {"typical", "mine", "calibrate_bender"},
    Stage.TEST_BEND: {"not understood", "silence"},
    Stage.CALIBRATE: {Kind.LENGTH, Kind.ANGLE, "skip", "change", "correction"},
    Stage.CALIBRATED: {"yes", "no", "change", "silence"},
    Stage.PICK: set(BENDS) | {"cancel", "set_up", "calibrate", "new_run", "finish"},
    Stage.LEARNED: {"yes", "no", "cancel", "silence"},
    Stage.BOXES: {"straight", "offset", "stub", "kick", "cancel", "silence"},
    Stage.SITE: {Kind.LENGTH, Kind.ANGLE, "skip", "change", "correction", "silence"},
    Stage.SITE_FOUND: {"yes", "no", "change", "done", "silence"},
    Stage.ASK: {*(Kind.LENGTH, Kind.ANGLE, Kind.COUNT), "skip", "change", "correction", "silence"},
    Stage.READ_BACK: {"yes", "no", "change", "cancel", "correction", "silence"},
    Stage.WHICH: {"distance", "angle", "turn", "method"},
    Stage.SIDE: {"the_same", "opposite", "to_left", "to_right", "cancel", "silence"},
    Stage.WORK: {"fits", "too_high", "too_low", "too_long", "too_short", "legs_off", "dogleg", Kind.LENGTH}
    | {"crown_early", "crown_late", "daylight_left", "daylight_right", "change", Kind.ANGLE},
    Stage.HOW_MUCH: {Kind.LENGTH, "cancel"},
    Stage.MEASURED: {"yes", "no", "correction", "silence"},
    Stage.TWEAK: {"remake", "change"},
    Stage.AFTER: {"same_again", "add_bend", "new_stick", "change", "degrees_left", "switch_inches"},
    Stage.RACK: {Kind.LENGTH, "skip"},
    Stage.RACK_READ_BACK: {"yes", "no", "silence"},
    Stage.RUN: {Kind.COUNT, "cancel"},
    Stage.FINISH: {"yes", "no", "silence"},
    Stage.FOUND: {"yes", "no", "silence"},
    Stage.DONE: {"new_stick", "sheet", "materials", "goodbye", "silence"},
}
"""Answers of each stage that a script must have given, besides the always-valid commands and the keys."""


@pytest.mark.parametrize("path", scripts(), ids=lambda path: path.stem)
def test_conversation_goes_as_written(path: Path) -> None:
    run_script(path)


def test_every_bend_has_a_script_of_its_own() -> None:
    assert {kind.replace("-", "_") for kind in BENDS} <= {path.stem for path in scripts()}


@pytest.mark.parametrize(
    "wrong",
    [
        "< size",
        "< conduit size=1",
        "< rise?",
        '" What trade size?',
        '| mark 5"',
        "= work",
        "= conduit stub",
        "? new_stick",
        "~ conduit",
        "+ bend_done",
        "* marks stub 1/2 true height=10",
        "% nothing",
    ],
)
def test_a_script_that_is_not_so_fails(wrong: str) -> None:
    with pytest.raises((Differs, ValueError)):
        run_text(wrong)


@pytest.mark.parametrize("stage", Stage)
def test_every_always_valid_command_and_key_was_given_at(stage: Stage) -> None:
    missing = {*ALWAYS, *KEYS} - answers_at(stage)
    assert not missing, f"at {stage} no script tries {sorted(missing)}"


@pytest.mark.parametrize("stage", Stage)
def test_every_kind_of_answer_was_given_at(stage: Stage) -> None:
    missing = {str(what) for what in ANSWERED[stage]} - answers_at(stage)
    assert not missing, f"at {stage} no script answers {sorted(missing)}"


@pytest.mark.parametrize("stage", BEND_STAGES)
def test_every_bend_goes_through(stage: Stage) -> None:
    assert bends_at(stage) == set(BENDS)


def test_every_command_was_given_somewhere() -> None:
    assert not set(COMMANDS) - {what for _, _, what in visits()}


def test_every_stage_is_in_the_table_of_the_flow() -> None:
    assert set(STAGES) == set(Stage) == set(ANSWERED)


def test_every_phrase_of_a_command_has_its_command() -> None:
    unheard = set(COMMANDS) - set(knowledge().lexicon.commands)
    assert not unheard, "a command that nobody can say"


def test_the_table_has_a_row_for_every_stage() -> None:
    rows = table().splitlines()
    assert sum(row.startswith(f"| {stage} |") for row in rows for stage in Stage) == len(Stage)
