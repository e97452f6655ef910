"""The process is killed between steps; nothing that had its reply is lost, and the job comes out the same.

`tests/benchmarks/crash.py` kills in the middle of steps as well, and more often.
"""

from __future__ import annotations

from pathlib import Path
from random import Random

from bench.job.records import RecordKind
from tests.benchmarks.crash import Bench, outcome, resumed, undisturbed, walk_with_kills


def test_a_job_with_kills_comes_out_like_one_without(tmp_path: Path) -> None:
    kills = walk_with_kills(tmp_path / "killed", Random(5), chance=0.12)
    assert kills >= 4
    wanted = undisturbed(tmp_path / "whole")
    assert wanted[-1][0] == RecordKind.JOB_DONE, "the lines no longer lead through a whole job"
    assert outcome(tmp_path / "killed") == wanted


def test_it_says_where_it_was_and_goes_on_there_when_told_yes(tmp_path: Path) -> None:
    bench = Bench(tmp_path)
    for line in (
        "emt",
        "three quarter",
        "three point saddle",
        "thirty one and a quarter",
        "two and a half",
    ):
        bench.say(line)
    shown = bench.say("skip")
    bench.kill()
    again = resumed(tmp_path)
    assert again.reply.partition("|")[0] == shown.partition("|")[0]
    assert "thirty-one and a quarter" in again.reply
    again.kill()
