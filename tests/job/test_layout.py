"""A stick that can no longer be calculated keeps the marks that were spoken; one of unknown conduit is refused."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as F

import pytest

from bench.core.notes import BenchError
from bench.data.bundle import knowledge
from bench.job.layout import laid_out, lay_out_job, setup_of, spoken_now
from bench.job.model import Job, JobBend, JobStick, Tools

OFFSET = JobBend("offset", (("distance", F(40)), ("rise", F(6)), ("angle", 30.0)))
IMPOSSIBLE = replace(OFFSET, answers=(("distance", F(40)), ("rise", F(600)), ("angle", 30.0)))
STICK = JobStick("A", (OFFSET,), tools=Tools("emt", "3/4"))


def test_spoken_marks_stay_when_the_bend_can_no_longer_be_calculated() -> None:
    spoken = spoken_now(laid_out(STICK, setup_of(STICK, knowledge())))
    assert spoken is not None
    (laid,) = lay_out_job(Job(1, (replace(STICK, bends=(IMPOSSIBLE,), spoken=spoken),)), knowledge()).sticks
    assert laid.stick is not None
    assert [mark.at for mark in laid.stick.marks] == [mark.at for mark in spoken.marks]
    assert len(laid.stick.marks) == 2
    assert laid.differs


def test_without_spoken_marks_it_is_refused_by_name() -> None:
    with pytest.raises(BenchError) as refused:
        lay_out_job(Job(1, (replace(STICK, bends=(IMPOSSIBLE,)),)), knowledge())
    assert refused.value.message.values["stick"] == "A"


@pytest.mark.parametrize("tools", [Tools(), Tools("emt", "5"), Tools("copper", "3/4")])
def test_a_stick_of_unknown_conduit_is_refused(tools: Tools) -> None:
    with pytest.raises(BenchError) as refused:
        setup_of(replace(STICK, tools=tools), knowledge())
    assert refused.value.code == "no_conduit"
