"""Results of a soak part can be read back, parts are plotted in sequence, and drift is detected."""

from __future__ import annotations

from xml.etree import ElementTree

import pytest

from tests.benchmarks.soak import MAIN, Part, Sample, drawing, drift_of, read_part, written_part


def part(minutes: int, an_hour: float) -> Part:
    samples = tuple(
        Sample(float(at), {MAIN: 100 + an_hour * at / 60, "person": 2.0 * at}, 50.0, 0.4, at // 2)
        for at in range(1, minutes + 1)
    )
    return Part(samples, minutes // 2, 0, 0, "")


def test_a_part_comes_back() -> None:
    assert read_part(written_part(part(30, 2.0))) == part(30, 2.0)


def test_a_drift_is_that_of_the_time_after_warming_up() -> None:
    assert drift_of(part(60, 3.0).samples) == pytest.approx(3.0)
    assert drift_of(part(60, 3.0).samples, "person") == pytest.approx(120.0)
    assert drift_of(part(29, 3.0).samples) is None
    cold = tuple(Sample(float(at), {MAIN: 1000.0 - at}, 0.0, 0.0, 0) for at in range(15))
    assert drift_of((*cold, *part(60, 0.0).samples[15:])) == pytest.approx(0.0)


def test_what_swings_with_the_grammar_in_hand_is_no_drift() -> None:
    swinging = tuple(Sample(float(at), {MAIN: 170.0 - 7 * (at % 4)}, 0.0, 0.0, 0) for at in range(15, 60))
    assert drift_of(swinging) == pytest.approx(0.0, abs=0.5)


def test_parts_are_drawn_side_by_side_with_a_line_between() -> None:
    root = ElementTree.fromstring(drawing([part(20, 1.0), part(40, 1.0)]))
    lines = root.findall("{http://www.w3.org/2000/svg}polyline")
    assert len(lines) == 2
    across = [float(point.split(",")[0]) for point in lines[0].attrib["points"].split()]
    assert len(across) == 60
    assert across == sorted(across)
    dashed = [one for one in root.iter() if "stroke-dasharray" in one.attrib]
    assert len(dashed) == 2
    assert float(dashed[0].attrib["d"].split()[0][1:]) == pytest.approx(across[19], abs=0.1)


@pytest.mark.parametrize("bad", [{"wrong": 1}, {"faults": 1}, {"failed": "no answer"}, {"sticks": 0}])
def test_a_part_that_failed_is_not_good(bad: dict[str, object]) -> None:
    from dataclasses import replace

    assert part(20, 1.0).good
    assert not replace(part(20, 1.0), **bad).good  # type: ignore[arg-type]
