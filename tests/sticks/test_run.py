"""A run between boxes: degrees, joints, supports, pull and material list."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.core.bends import work_out
from bench.core.code import Support
from bench.core.lengths import Units
from bench.core.run import Section, plan_run
from bench.core.stick import OnStick, Stick, lay_out
from bench.core.supports import supports
from bench.data import tables
from bench.data.limits import code_limits
from bench.language.write import written

THREE_QUARTER = tables.setup("emt", "3/4")
RULE = code_limits().support("emt", "3/4")


def straight(feet: int = 10) -> Stick:
    return lay_out(THREE_QUARTER, [], Fraction(12 * feet))


def with_bend(kind: str, **measures: Fraction) -> Stick:
    return lay_out(THREE_QUARTER, [OnStick(work_out(kind, measures, THREE_QUARTER))])


def test_straight_run_of_three_sticks() -> None:
    """30 ft: within 3 ft of each box and every 10 ft between (NEC 358.30(A))."""
    run = plan_run([Section("one", (straight(), straight(), straight()))], code_limits())
    (section,) = run.sections
    assert list(section.joints) == [120, 240]
    assert section.supports[0] == 36
    assert section.length - section.supports[-1] <= 36
    assert all(after - before <= 120 for before, after in pairwise(section.supports))
    assert section.straps == 4
    assert [written(item.note) for item in run.materials] == [
        '3 of 3/4 emt, 120" long',
        "2 3/4 emt connectors",
        "2 3/4 emt couplings",
        "4 3/4 emt straps",
    ]


def test_six_pieces_are_cut_from_two_sticks() -> None:
    """Six of 29 1/8 with their kerfs: four to a ten-foot stick (arithmetic)."""
    piece = lay_out(THREE_QUARTER, [], Fraction(120), finish=Fraction(233, 8))
    run = plan_run([Section("one", (piece,) * 6)], code_limits())
    assert written(run.materials[0].note) == '2 of 3/4 emt, 120" long'
    assert [written(note) for note in run.cut_notes] == [
        '3/4 emt: 6 pieces from 2 sticks, longest left over 61 5/8"'
    ]


def test_no_strap_on_a_bend_or_a_coupling() -> None:
    bent = with_bend("offset", distance=Fraction(45), rise=Fraction(8))
    (section,) = plan_run([Section("one", (bent, straight()))], code_limits()).sections
    arcs = [(arc.start, arc.end(THREE_QUARTER.bender.radius)) for arc in bent.path.arcs]
    assert not any(start < place < end for place in section.supports for start, end in arcs)
    assert all(
        abs(place - joint) >= code_limits().joints.straight
        for place in section.supports
        for joint in section.joints
    )


@given(st.integers(20, 1200), st.lists(st.tuples(st.integers(0, 1200), st.integers(1, 20)), max_size=4))
def test_supports_keep_the_distances_or_say_so(length: int, bends: list[tuple[int, int]]) -> None:
    """NEC 358.30(A): 3 ft from a box, 10 ft between; where a bend forbids it a note says so."""
    spans = [(float(start), float(start + size)) for start, size in bends if start + size < length]
    places, notes = supports(float(length), spans, RULE)
    ends = places[0] <= RULE.from_box and length - places[-1] <= RULE.from_box
    between = all(after - before <= RULE.every for before, after in pairwise(places))
    assert ends or "support_near_box" in {note.code for note in notes}
    assert between or "support_too_far" in {note.code for note in notes}
    assert not any(start < place < end for place in places for start, end in spans)


def test_a_strap_goes_right_beside_the_bend_that_is_in_its_way() -> None:
    """Not farther than it must: an inch off the bend, toward the box at the ends and back toward the last strap
    in between (NEC 358.30(A): 3 ft and 10 ft)."""
    places, notes = supports(300.0, [(30, 40), (150, 152), (260, 268)], RULE)
    assert list(places) == [29, 149, 269]
    assert notes == ()


def test_a_bend_that_fills_the_box_end_is_told() -> None:
    rule = Support("emt", ("3/4",), Fraction(36), Fraction(120), "made up for this test")
    _, notes = supports(200, [(0, 60)], rule)
    assert [note.code for note in notes] == ["support_near_box"]


def test_degrees_over_several_sticks() -> None:
    """Four right angles between pull points and no more: NEC 358.26; NAVEDTRA 14027."""
    corner = with_bend("stub", height=Fraction(24))
    allowed = plan_run([Section("four", (corner,) * 4)], code_limits()).sections[0]
    assert (allowed.total_degrees, allowed.degrees_left) == (360, 0)
    assert "pull_point_needed" not in {note.code for note in allowed.warnings}
    over = plan_run([Section("five", (corner,) * 5)], code_limits()).sections[0]
    assert [written(n) for n in over.warnings if n.code == "pull_point_needed"] == [
        "90° more bend than the 360° between pull points: add a box."
    ]


def test_pull_multiplies_over_the_section() -> None:
    """Two right angles at friction 0.5: 4.81 times (table of the cable maker's manual, appendix 8.12)."""
    corner = with_bend("stub", height=Fraction(24))
    section = plan_run([Section("two", (corner, corner))], code_limits()).sections[0]
    assert section.pull.whole == pytest.approx(4.81, abs=0.005)


def test_coupling_too_near_a_bend() -> None:
    near = lay_out(
        THREE_QUARTER,
        [OnStick(work_out("offset", {"distance": Fraction(40), "rise": Fraction(6)}, THREE_QUARTER))],
        finish=Fraction(41),
    )
    section = plan_run([Section("one", (near, straight()))], code_limits()).sections[0]
    (note,) = [note for note in section.warnings if note.code == "bend_at_far_joint"]
    assert note.values["room"] == pytest.approx(1, abs=1 / 16)


def test_reminders_end_with_who_decides() -> None:
    run = plan_run([Section("one", (straight(),))], code_limits())
    assert [note.code for note in run.reminders] == ["support", "bends_between", "deference"]
    assert (
        written(run.reminders[0], Units.METRIC) == "Fasten emt within 914 mm of each box and every 3048 mm."
    )
    rigid = lay_out(tables.setup("rmc", "1"), [])
    codes = [note.code for note in plan_run([Section("one", (rigid,))], code_limits()).reminders]
    assert codes == ["support", "support_straight", "bends_between", "deference"]


def test_sections_without_sticks_are_left_out() -> None:
    assert plan_run([Section("none", ())], code_limits()).sections == ()
