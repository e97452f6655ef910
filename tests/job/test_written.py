"""The export of a job for other programs: read back, it is the same job, and it lists everything."""

from __future__ import annotations

import json
from dataclasses import replace
from fractions import Fraction as F

import pytest

from bench.core.bends import work_out
from bench.core.lengths import Units
from bench.core.notes import BenchError
from bench.data.bundle import knowledge
from bench.job.export import layout_to_json
from bench.job.layout import lay_out_job
from bench.job.model import Job, JobBend, JobStick, Profile, Tools
from bench.job.written import job_from_written, job_to_written

OFFSET = JobBend("offset", (("distance", F(40)), ("rise", F(575, 32)), ("angle", 45.0)))
LEARNED = Profile("learned", "emt", "3/4", F(97, 16), F(23, 8), 2.0, hand=1.5)
SWEEP = JobBend("segmented", (("radius", F(24)), ("angle", 90.0), ("shots", 6)))
STICKS = (
    JobStick("A", (OFFSET,), tools=Tools("emt", "3/4", LEARNED)),
    JobStick("A 2", (OFFSET,), shift=F(2), tools=Tools("emt", "3/4", LEARNED), pipe=2),
    JobStick("B", (OFFSET,), tools=Tools("metric", "20 mm"), units=Units.METRIC, run="2"),
    JobStick("C", (SWEEP,), tools=Tools("emt", "1"), run="3"),
)


def again(job: Job) -> Job:
    """Through JSON, as another program would have it."""
    return job_from_written(json.loads(json.dumps(job_to_written(job))))


def test_sticks_keep_their_own_units_tools_and_place_in_the_rack() -> None:
    assert again(Job(1, STICKS)).sticks == STICKS
    assert again(Job(1, STICKS[::-1])).sticks == STICKS[::-1]


def test_marks_and_material_are_the_same() -> None:
    """Each is rounded to its own tape and made by its own bender; the rack is two conduits, not one."""
    first, second = (lay_out_job(job, knowledge()) for job in (Job(1, STICKS), again(Job(1, STICKS))))
    assert [one.stick for one in first.sticks] == [one.stick for one in second.sticks]
    assert (first.run.materials, first.run.cuttings) == (second.run.materials, second.run.cuttings)


def test_a_straight_conduit_beside_another_has_no_marks() -> None:
    straight = JobStick("A 2", shift=F(2), tools=Tools("emt", "3/4"), pipe=2)
    (laid,) = lay_out_job(again(Job(1, (straight,))), knowledge()).sticks
    assert laid.stick is not None
    assert not laid.stick.marks
    assert laid.stick.used == 120


def test_copies_are_further_conduits_beside_the_one_written() -> None:
    (raw,) = job_to_written(Job(1, STICKS[1:2]))["sticks"]
    made = job_from_written({"name": "x", "sticks": [raw | {"copies": 2}]})
    assert [one.pipe for one in made.sticks] == [2, 3]


@pytest.mark.parametrize(
    ("angle", "shots", "radius"), [("22 1/2", "6", "24"), (22.5, 6, 24), ("22.5", "6", "2'")]
)
def test_measures_are_numbers_or_text_as_people_write_it(
    angle: object, shots: object, radius: object
) -> None:
    measures = {"radius": radius, "angle": angle, "shots": shots}
    job = job_from_written(
        {"name": "x", "sticks": [{"name": "A", "bends": [{"kind": "segmented", "measures": measures}]}]}
    )
    (bend,) = job.sticks[0].bends
    assert bend.measures == {"radius": F(24), "angle": 22.5, "shots": 6}


@pytest.mark.parametrize("pipe", [0, -1, 10**9])
def test_an_impossible_number_of_a_conduit_is_refused(pipe: int) -> None:
    raw = job_to_written(Job(1, (replace(STICKS[0], pipe=pipe),)))
    with pytest.raises(BenchError, match="conduit"):
        job_from_written(raw)


def test_the_export_lists_the_pieces_that_are_cut() -> None:
    """Every piece comes out of a stick that is long enough for all that is cut from it, and its saw cuts."""
    layout = lay_out_job(Job(7, STICKS, place="roof"), knowledge())
    told = json.loads(json.dumps(layout_to_json(layout)))
    for cut in told["cuts"]:
        for stick in cut["sticks"]:
            assert sum(stick["pieces"]) + stick["left"] <= cut["length"]
    pieces = sorted(piece for cut in told["cuts"] for stick in cut["sticks"] for piece in stick["pieces"])
    assert pieces == sorted(float(one.stick.used) for one in layout.sticks if one.stick)
    assert {(cut["conduit"], cut["size"]) for cut in told["cuts"]} == {
        ("emt", "3/4"),
        ("emt", "1"),
        ("metric", "20 mm"),
    }
    assert [one["bender"] and one["bender"]["hand"] for one in told["sticks"]] == [1.5, 1.5, None, None]
    assert (told["job"], told["place"]) == (7, "roof")


def test_a_job_without_a_name_is_called_by_its_number() -> None:
    assert (Job(7).title, Job(7, name="barn").title) == ("Job 7", "barn")


def test_an_impossible_bend_is_calculated_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Looking for what would work instead takes long, and voice, screen and ears all ask at the same step."""
    asked: list[str] = []

    def counted(*given: object) -> object:
        asked.append(str(given[0]))
        return work_out(*given)  # type: ignore[arg-type]

    monkeypatch.setattr("bench.job.layout.work_out", counted)
    steep = JobStick(
        "A", (JobBend("offset", (("distance", F(3)), ("rise", F(1001, 16)))),), tools=STICKS[3].tools
    )
    for _ in range(3):
        with pytest.raises(BenchError):
            lay_out_job(Job(1, (steep,)), knowledge())
    assert asked == ["offset"]


def test_a_job_that_was_read_has_no_number_yet() -> None:
    """The job file gives it one."""
    assert again(Job(3, STICKS)).number == 0
