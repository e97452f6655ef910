"""Whatever the job: the drawing lies inside its edges, no two lines of type touch, and it is valid XML."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from io import BytesIO
from itertools import accumulate, combinations

from hypothesis import HealthCheck, Phase, example, given, settings
from hypothesis import strategies as st
from pypdf import PdfReader

from bench.assistant.paper import sheet_names
from bench.core.bender import Setup
from bench.core.bends import work_out
from bench.core.lengths import MILLIMETER, SIXTEENTH, Units, round_to, text
from bench.core.notes import BenchError, Note
from bench.core.plan import Hook, Mark, Reference
from bench.core.run import Section, plan_run
from bench.core.stick import OnStick, Stick, lay_out
from bench.data import tables
from bench.data.bundle import knowledge
from bench.sheet.contents import RackPipe, SheetJob, SheetStick
from bench.sheet.document import sheet_pdf, sheet_svg
from bench.sheet.plan_drawing import plan_svg
from tests.examples import examples
from tests.sheet.svg_boxes import boxes, lines_of_type, view_box
from tests.strategies import SETUPS, jobs, lengths, setups

KNOWN = knowledge()
NAMED = sheet_names(KNOWN)
NAMES = st.text(max_size=60) | st.sampled_from(
    ["1", "A" * 200, "\x1b[31m<&>\u202e", "Küche", "схема", "\ud800"]
)
SLOW = settings(
    max_examples=examples(20),
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow],
    phases=(Phase.explicit, Phase.reuse, Phase.generate),  # shrinking draws whole sheets for minutes
)


@st.composite
def sticks_of_marks(draw: st.DrawFn) -> Stick:
    """Up to 24 marks anywhere on a stick, every sign, hook, turn and order."""
    setup = draw(st.sampled_from(SETUPS))
    setup = replace(setup, scale=draw(st.sampled_from([SIXTEENTH, SIXTEENTH / 2, MILLIMETER])))
    apart = 2 * setup.bender.radius
    steps = draw(st.lists(st.floats(apart, apart + 20), min_size=1, max_size=24))
    places = [round_to(at, setup.scale) for at in accumulate(steps)]
    length = Fraction(draw(st.integers(int(places[-1] + 2 * apart) + 1, 1000)) if places[-1] < 900 else 2000)
    order = draw(st.permutations(range(1, len(places) + 1)))
    marks = tuple(
        Mark(
            str(number),
            at,
            draw(st.sampled_from(Reference)),
            draw(st.sampled_from(Hook)),
            angle,
            draw(st.sampled_from([0.0, 90.0, 180.0, 270.0, 36.9])),
            turn,
            angle + draw(st.sampled_from([0.0, 1.5])),
        )
        for number, (at, turn) in enumerate(zip(places, order, strict=True), start=1)
        for angle in [draw(st.sampled_from([5.0, 22.5, 30.0, 45.0]))]
    )
    cut = draw(st.none() | st.just(round_to(length - 1, setup.scale)))
    return Stick(setup, length, (), marks, (0,) * len(marks), cut, sum(mark.bend for mark in marks), ())


@st.composite
def sticks_of_bends(draw: st.DrawFn) -> Stick:
    """One bend of any kind, as it is worked out."""
    setup = draw(setups())
    kind, measures = draw(jobs())
    try:
        return lay_out(setup, [OnStick(work_out(kind, measures, setup))])
    except BenchError:
        half_inch = tables.setup("emt", "1/2")
        return lay_out(half_inch, [OnStick(work_out("stub", {"height": Fraction(30)}, half_inch))])


@st.composite
def entries(draw: st.DrawFn) -> SheetStick:
    stick = draw(sticks_of_marks() | sticks_of_bends())
    rack = [
        RackPipe(
            draw(NAMES), draw(lengths(0, 40)), stick.marks, stick.cut_at, {"height": draw(lengths(1, 60))}
        )
        for _ in range(draw(st.integers(0, 4)))
    ]
    note = Note(
        "as_spoken", "Mark {name} stays at {at} as spoken.", {"name": draw(NAMES), "at": Fraction(601, 16)}
    )
    return SheetStick(
        draw(NAMES),
        stick,
        copies=draw(st.integers(1, 12)),
        run=draw(st.sampled_from(["", "1"])),
        rack=tuple(rack),
        bent=(1,),
        notes=draw(st.sampled_from([(), (note,)])),
        not_recorded=draw(st.sampled_from([(), ("bender", "turn")])),
    )


@st.composite
def sheets(draw: st.DrawFn) -> SheetJob:
    sticks = tuple(draw(st.lists(entries(), min_size=1, max_size=4)))
    run = plan_run([Section("1", tuple(entry.stick for entry in sticks))], KNOWN.limits)
    return SheetJob(
        draw(NAMES),
        draw(st.sampled_from(Units)),
        sticks,
        run,
        KNOWN.cautions,
        NAMED,
        "2026-11-26",
        draw(NAMES),
    )


def wide_table() -> SheetJob:
    """A table of bends in inches on the narrower A4: places in feet too, turns, springback and bends in the air."""
    rows = [("2", 2901, 1, 0.0), ("1", 2129, 2, 36.9), ("3", 3647, 3, 180.0), ("4", 3879, 4, 36.9)]
    marks = tuple(
        Mark(name, Fraction(at, 16), Reference.NOTCH, Hook.TAPE_END, 22.5, roll, order, 23.5)
        for name, at, order, roll in sorted(rows, key=lambda row: row[1])
    )
    setup = tables.setup("aluminum", "1")
    stick = Stick(setup, Fraction(281), (), marks, (0,) * len(marks), None, 90.0, ())
    run = plan_run([Section("1", (stick,))], KNOWN.limits)
    return SheetJob("", Units.METRIC, (SheetStick("1", stick),), run, KNOWN.cautions, NAMED, "2026-11-26", "")


@example(wide_table())
@given(sheets())
@SLOW
def test_all_of_it_is_inside_and_no_words_touch(job: SheetJob) -> None:
    svg = sheet_svg(job)
    edges = view_box(svg)
    assert all(box.inside(edges) for box in boxes(svg))
    for one, other in combinations(lines_of_type(svg), 2):
        assert not one.touches(other), (one, other)


@given(sheets())
@SLOW
def test_every_mark_is_read_back_from_the_pdf(job: SheetJob) -> None:
    """pypdf reads the text of the pages: every mark of every stick and pipe stands there on its own."""
    pages = PdfReader(BytesIO(sheet_pdf(job))).pages
    lines = [line.strip() for page in pages for line in page.extract_text().splitlines()]
    for entry in job.sticks:
        for marks in (entry.stick.marks, *(pipe.marks for pipe in entry.rack)):
            for mark in marks:
                assert text(mark.at, entry.units, entry.stick.setup.scale) in lines


@given(setups(), jobs(), st.sampled_from(Units))
@SLOW
def test_one_bend_drawn_is_inside_too(
    setup: Setup, job: tuple[str, dict[str, Fraction | float]], units: Units
) -> None:
    try:
        plan = work_out(job[0], job[1], setup)
    except BenchError:
        return
    svg = plan_svg(plan, setup, units)
    edges = view_box(svg)
    assert all(box.inside(edges) for box in boxes(svg))
    for one, other in combinations(lines_of_type(svg), 2):
        assert not one.touches(other), (one, other)
