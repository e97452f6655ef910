"""Scripted conversations: one for every bend; set-up, calibration, sticks, lists, restarts, troubles."""

from __future__ import annotations

from pathlib import Path

import pytest

from bench.core.bends import BENDS
from tests.dialogue.conversation import Differs, run_script, run_text, scripts


@pytest.mark.parametrize("path", scripts(), ids=lambda path: path.stem)
def test_conversation_goes_as_written(path: Path) -> None:
    run_script(path)


def test_every_bend_has_a_script_of_its_own() -> None:
    assert {kind.replace("-", "_") for kind in BENDS} <= {path.stem for path in scripts()}


@pytest.mark.parametrize(
    "wrong",
    [
        "< What trade size?",
        '| MARK 5"',
        "= work",
        "? next stick",
        "~ conduit",
        "* marks stub 1/2 true height=10",
        "% nothing",
    ],
)
def test_a_script_that_is_not_so_fails(wrong: str) -> None:
    with pytest.raises((Differs, ValueError)):
        run_text(wrong)
