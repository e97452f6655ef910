"""The long studies of the ears as far as they can go wrong without anybody noticing: states, shares, lines written."""

from __future__ import annotations

import tomllib
from argparse import Namespace
from pathlib import Path

import pytest

from bench.ears.confidence import Evidence
from bench.ears.model_directory import find_model
from bench.ears.second.model import find_second
from bench.language.meaning import Kind
from tests.benchmarks import states
from tests.benchmarks.calibration import write_lines
from tests.benchmarks.hearing_table import table
from tests.benchmarks.parts import Share, load, save
from tests.benchmarks.records import Outcome, Trial

RIGHT = Outcome("seven", right=True, among=True, taken=True, number=True, confidence=0.97)
WRONG = Outcome("eleven", wrong=True, number=True, confidence=0.93)


def test_the_dialogue_reaches_the_states_that_are_measured() -> None:
    asked = (states.length(), states.yes_or_no(), states.command(), states.count())
    assert [one.kind for one in asked] == [Kind.LENGTH, Kind.YESNO, Kind.COMMAND, Kind.COUNT]
    assert states.paused().paused


def test_shares_are_all_of_a_part_and_nothing_twice() -> None:
    clips = list(range(23))
    shares = [Share(2, at, 3).taken(clips) for at in (1, 2, 3)]
    assert sorted(clip for share in shares for _, clip in share) == clips[::2]
    assert all(clip == clips[::2][number] for share in shares for number, clip in share)


def trial(number: int, both: Outcome) -> Trial:
    evidence, joint = Evidence((0.9, 0.1), -1.5), [6.0, -0.2, 3.1]
    return Trial("digits", None, number, "seven", RIGHT, both, alone=evidence, joint=joint, seconds=1.0)


def written(folder: Path, at: int, of: int, trials: list[Trial]) -> Path:
    out = folder / f"{at}.json"
    save("hearing", Namespace(out=out, model=None, second=None, part=1, slice=f"{at}/{of}"), trials)
    return out


def test_shares_are_put_together_and_one_that_is_missing_is_noticed(tmp_path: Path) -> None:
    first, second = [trial(0, RIGHT)], [trial(1, WRONG)]
    files = [written(tmp_path, 1, 2, first), written(tmp_path, 2, 2, second)]
    assert load("hearing", files, Trial) == [*first, *second]
    with pytest.raises(SystemExit, match="of 2"):
        load("hearing", files[:1], Trial)
    with pytest.raises(SystemExit, match="not of"):
        load("false accepts", files, Trial)


def test_a_wrong_number_acted_on_with_confidence_is_counted() -> None:
    lines = list(table([trial(0, RIGHT), trial(1, WRONG)]))
    assert "| digits, right | 2 | 100.0 | 50.0 |" in lines
    assert any(line.startswith("both:") and "1 of 2: seven as eleven 0.93" in line for line in lines)
    assert any(line.startswith("one recognizer:") and line.endswith("0 of 2") for line in lines)


@pytest.mark.parametrize(
    ("shipped", "lines"),
    [
        (find_model(), {"points": "[[0.1, 0.2], [0.9, 1.0]]", "fit": "[[-3.0, 0.5]]"}),
        (find_second(), {"both": "[1.0, 2.0, 3.0, 4.0]", "alone": "[5.0, 6.0, 7.0]"}),
    ],
)
def test_new_curves_take_the_place_of_the_old_ones_and_nothing_else_changes(
    shipped: Path, lines: dict[str, str], tmp_path: Path
) -> None:
    before = (shipped / "bench.toml").read_text(encoding="utf-8")
    (tmp_path / "bench.toml").write_text(before, encoding="utf-8")
    write_lines(tmp_path / "bench.toml", lines)
    after = tomllib.loads((tmp_path / "bench.toml").read_text(encoding="utf-8"))
    wanted = tomllib.loads(before)
    wanted["confidence"] |= tomllib.loads("\n".join(f"{key} = {value}" for key, value in lines.items()))
    assert after == wanted
