"""Whatever the job: the drawing lies inside its edges, no two lines of type touch, and it is valid XML."""

from __future__ import annotations

import os
import shutil
import subprocess
from dataclasses import replace
from fractions import Fraction
from io import BytesIO
from itertools import accumulate, combinations, permutations
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
from hypothesis import HealthCheck, Phase, example, given, settings
from hypothesis import strategies as st
from PIL import Image, ImageChops
from pypdf import PdfReader
from reportlab.graphics.shapes import Drawing

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
from bench.sheet import typeface
from bench.sheet.contents import RackPipe, SheetJob, SheetStick
from bench.sheet.document import sheet_pdf, sheet_svg
from bench.sheet.drawing import moved
from bench.sheet.marked_stick import marked_stick
from bench.sheet.plan_drawing import plan_svg
from bench.sheet.svg import svg_text
from tests.examples import examples
from tests.sheet.svg_boxes import SVG, boxes, lines_of_type, view_box
from tests.strategies import SETUPS, jobs, lengths, setups

KNOWN = knowledge()
NAMED = sheet_names(KNOWN)
UNPRINTED = 18.0
"""A quarter inch, in points, that office printers leave blank at the edges. Common practice, no source."""
NAMES = st.text(max_size=60) | st.sampled_from(
    ["1", "A" * 200, "\x1b[31m<&>\u202e", "Küche", "схема", "\ud800"]
)
SLOW = settings(
    max_examples=examples(12),
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
    shown = view_box(svg)
    printable = replace(shown, left=shown.left + UNPRINTED, right=shown.right - UNPRINTED)
    drawn = boxes(svg)
    assert [box for box in drawn if not box.inside(printable)] == []
    for one, other in combinations([box for box in drawn if box.text], 2):
        assert not one.touches(other), (one, other)


@given(sticks_of_marks(), st.sampled_from(Units), st.sampled_from([0.0, 14.0, 16.0, 18.0]))
@SLOW
def test_marks_close_together_are_apart_on_paper(stick: Stick, units: Units, size: float) -> None:
    """Labels beside one another leave a gap of four fifths of the height of their figures, wider than any within."""
    width = 564.0
    block = marked_stick(stick.length, stick.marks, stick.cut_at, units, stick.setup.scale, width, size)
    drawing = Drawing(width, block.height)
    drawing.add(moved(block, 0, block.height))
    svg = svg_text(drawing)
    labels = [line for line in lines_of_type(svg) if line.text not in ("TAPE", "END")]
    assert {line.text.split()[0] for line in labels} >= {mark.name for mark in stick.marks}
    for one, other in permutations(labels, 2):
        with_gap = replace(one, right=one.right + 0.8 * (one.bottom - one.top))
        assert not with_gap.touches(other), (one, other)


def test_the_words_of_an_svg_are_there_unseen() -> None:
    texts = list(ElementTree.fromstring(sheet_svg(wide_table())).iter(f"{SVG}text"))
    assert any("Job sheet" in (text.text or "") for text in texts)
    assert all("opacity: 0" in text.get("style", "") for text in texts)


@pytest.mark.skipif(
    shutil.which("rsvg-convert") is None, reason="librsvg paints it: apt-get install librsvg2-bin"
)
def test_the_fonts_of_a_machine_have_no_part_in_an_svg(tmp_path: Path) -> None:
    """librsvg, which does not know `textLength`, paints the same where there is no font at all, and into no margin."""
    svg = sheet_svg(wide_table())
    (tmp_path / "fonts.conf").write_text("<fontconfig></fontconfig>")
    here, nowhere = (
        subprocess.run(
            ["rsvg-convert", "-b", "white"], input=svg.encode(), env=env, capture_output=True, check=True
        ).stdout
        for env in ({**os.environ}, {**os.environ, "FONTCONFIG_FILE": str(tmp_path / "fonts.conf")})
    )
    assert here == nowhere
    painted = ImageChops.invert(Image.open(BytesIO(here)).convert("L"))
    left, _, right, _ = painted.getbbox() or (0, 0, 0, 0)
    scale = painted.width / view_box(svg).right
    assert UNPRINTED * scale <= left < right <= painted.width - UNPRINTED * scale


def test_the_typeface_is_in_the_pdf() -> None:
    """One that is only named is replaced by the reader, with other widths (PDF 32000-1:2008, 9.8: FontFile2)."""
    fonts: list[Any] = []
    for page in PdfReader(BytesIO(sheet_pdf(wide_table()))).pages:
        page.extract_text(visitor_text=lambda text, *at: fonts.append(at[2]) if text.strip() else None)
    assert {"Bold", "Regular"} == {font["/BaseFont"].rpartition("-")[2] for font in fonts}
    assert all("/FontFile2" in font["/FontDescriptor"] for font in fonts)


def test_a_damaged_typeface_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(typeface, "read_bytes", lambda name: b"no typeface")
    with pytest.raises(BenchError, match=r"AtkinsonHyperlegible-Bold\.ttf"):
        typeface._registered.__wrapped__(bold=True)


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
    edges, drawn = view_box(svg), boxes(svg)
    assert [box for box in drawn if not box.inside(edges)] == []
    for one, other in combinations([box for box in drawn if box.text], 2):
        assert not one.touches(other), (one, other)
