"""The job sheet: what is on it, that it can be read, and that the same job gives the same paper."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from datetime import date
from fractions import Fraction
from io import BytesIO
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
from pypdf import PdfReader

from bench.assistant.paper import sheet_names
from bench.cli import main
from bench.core.bends import work_out
from bench.core.lengths import Units
from bench.core.notes import BenchError, Note
from bench.core.plan import Plan
from bench.data import tables
from bench.data.bundle import knowledge
from bench.job.layout import lay_out_job, lay_out_stick, spoken_now
from bench.job.listing import job_from_csv
from bench.job.model import Job
from bench.job.written import job_from_written
from bench.language.read import read_length
from bench.sheet.contents import RackPipe, SheetJob
from bench.sheet.document import PAPERS, pages, sheet_pdf, sheet_svg, write_sheet
from bench.sheet.drawing import BODY
from bench.sheet.figures import built, handles, turns
from bench.sheet.from_layout import sheet_job
from bench.sheet.plan_drawing import plan_svg
from bench.sheet.terminal_drawing import stick_drawing

HERE = Path(__file__).parent
SVG = "{http://www.w3.org/2000/svg}"
HALF = tables.setup("emt", "1/2")
KNOWN = knowledge()

# Stub 10 on half-inch EMT with take-up 5: mark 5 (Modern Residential Wiring 2021 p. 144). Offset of 10 by the
# book, 30 degrees, 38 to the second bend: marks 20 1/2 and 40 1/2 (correspondence-school exam).
PUBLISHED: dict[str, Any] = {
    "name": "Worked examples",
    "setup": {"conduit": "emt", "size": "1/2"},
    "sticks": [
        {"name": "A", "bends": [{"kind": "stub", "measures": {"height": "10"}, "method": "book"}]},
        {
            "name": "B",
            "bends": [
                {
                    "kind": "offset",
                    "measures": {"distance": "38", "rise": "10", "angle": "30"},
                    "method": "book",
                }
            ],
        },
    ],
}


def sheet_of(job: Job) -> SheetJob:
    return sheet_job(lay_out_job(job, KNOWN), KNOWN.cautions, sheet_names(KNOWN))


def written(raw: dict[str, Any]) -> SheetJob:
    return sheet_of(job_from_written(raw))


def published() -> SheetJob:
    return written(PUBLISHED)


def pdf_text(path: Path) -> str:
    return "\n".join(page.extract_text() for page in PdfReader(path).pages)


def test_published_marks_are_on_the_paper(tmp_path: Path) -> None:
    (tmp_path / "a.pdf").write_bytes(sheet_pdf(published()))
    text = pdf_text(tmp_path / "a.pdf")
    for mark in ('5"', '20 1/2"', '40 1/2"'):
        assert mark in text.splitlines(), mark


def test_sheet_says_what_matters(tmp_path: Path) -> None:
    (tmp_path / "a.pdf").write_bytes(sheet_pdf(published()))
    text = " ".join(pdf_text(tmp_path / "a.pdf").split())
    for caution in KNOWN.cautions.caution:
        assert " ".join(caution.written.split()) in text
    for said in (KNOWN.cautions.deference_written, KNOWN.limits.deference.written, "Materials", "TAPE END"):
        assert said in text


@pytest.mark.parametrize("paper", PAPERS)
def test_fits_its_paper(tmp_path: Path, paper: str) -> None:
    """US letter is 8 1/2 by 11 in.; A4 is 210 by 297 mm (ISO 216)."""
    (tmp_path / "a.pdf").write_bytes(sheet_pdf(published(), paper))
    box = PdfReader(tmp_path / "a.pdf").pages[0].mediabox
    wanted = {"letter": (612, 792), "a4": (210 / 25.4 * 72, 297 / 25.4 * 72)}[paper]
    assert (float(box.width), float(box.height)) == pytest.approx(wanted, abs=0.5)


def test_paper_follows_the_units(tmp_path: Path) -> None:
    job = written(
        {
            **PUBLISHED,
            "units": "metric",
            "sticks": [{"name": "1", "bends": [{"kind": "stub", "measures": {"height": 254}}]}],
        }
    )
    (tmp_path / "a.pdf").write_bytes(sheet_pdf(job))
    assert float(PdfReader(tmp_path / "a.pdf").pages[0].mediabox.height) > 800
    assert "127 mm" in pdf_text(tmp_path / "a.pdf")


def test_same_job_same_bytes(tmp_path: Path) -> None:
    for name in ("a.pdf", "b.pdf"):
        (tmp_path / name).write_bytes(sheet_pdf(published()))
    assert (tmp_path / "a.pdf").read_bytes() == (tmp_path / "b.pdf").read_bytes()


def test_sheets_of_a_day_stand_side_by_side(tmp_path: Path) -> None:
    job = replace(published(), date="2026-11-26")
    names = [write_sheet(job, tmp_path / "sheets").name for _ in range(2)]
    assert names == ["job sheet 2026-11-26.pdf", "job sheet 2026-11-26 (2).pdf"]


def test_no_type_is_smaller_than_the_body() -> None:
    root = ElementTree.fromstring(sheet_svg(published()))
    sizes = [
        float(text.get("style", "").split("font-size: ")[1].split("px")[0])
        for text in root.iter(f"{SVG}text")
    ]
    assert min(sizes) >= BODY >= 10


def test_black_on_white_only() -> None:
    """Nothing is told by color."""
    for element in ElementTree.fromstring(sheet_svg(published())).iter():
        for part in element.get("style", "").split(";"):
            if "rgb(" in part:
                assert part.split(": ")[1] in ("rgb(0%,0%,0%)", "rgb(100%,100%,100%)")


def saddles(count: int) -> SheetJob:
    bend = {"kind": "saddle3", "measures": {"to_center": "48", "height": "3"}}
    sticks = [{"name": str(n), "bends": [bend]} for n in range(1, count + 1)]
    return written({"name": "saddles", "setup": PUBLISHED["setup"], "sticks": sticks})


def test_three_saddles_fit_on_one_letter_page() -> None:
    assert len(PdfReader(BytesIO(sheet_pdf(saddles(3), "letter"))).pages) == 1


def test_marks_are_larger_where_there_is_room() -> None:
    def largest(job: SheetJob) -> float:
        sizes = re.findall(r"font-size: ([\d.]+)px", sheet_svg(job))
        return sorted(map(float, sizes))[-3]

    assert largest(saddles(1)) > largest(saddles(3)) >= 12.5


@pytest.mark.parametrize("count", [1, 3, 8, 24])
def test_cautions_are_on_the_first_page_and_nowhere_else(count: int) -> None:
    first, *others = (
        " ".join(page.extract_text().split()) for page in PdfReader(BytesIO(sheet_pdf(saddles(count)))).pages
    )
    cautions = KNOWN.cautions
    assert all(" ".join(caution.written.split()) in first for caution in cautions.caution)
    assert cautions.deference_written in first
    assert not any("CAUTIONS" in page for page in others)


def test_every_page_holds_what_is_on_it() -> None:
    """Nothing reaches below the foot of its page, and the pages are few: three saddles on each."""
    made = pages(saddles(7), PAPERS["letter"])
    assert len(made) == 3
    assert all(page.getBounds()[1] >= 20 for page in made)


def test_job_place_and_day_are_named(tmp_path: Path) -> None:
    job = replace(published(), name="Kitchen", place="East wall", date="2026-11-26")
    text = PdfReader(BytesIO(sheet_pdf(job))).pages[0].extract_text()
    assert {"Job sheet: Kitchen", "Place: East wall", "Date: 2026-11-26"} <= set(text.splitlines())
    assert "____" in PdfReader(BytesIO(sheet_pdf(published()))).pages[0].extract_text()


def test_what_is_built_is_told_in_feet_and_marks_in_inches() -> None:
    """The code speaks of three feet and ten feet; a tape is read in inches."""
    text = " ".join(PdfReader(BytesIO(sheet_pdf(saddles(1)))).pages[0].extract_text().split())
    assert "within 3' 0\" of each box and every 10' 0\"" in text
    assert "10' 0\" of 1/2 EMT" in text
    assert not re.search(r"\b(36|120)\"", text)


@pytest.mark.parametrize(
    ("inches", "written"),
    [
        ("36", "3' 0\""),
        ("120", "10' 0\""),
        ("35 15/16", '35 15/16"'),
        ("30", '30"'),
        ("50 3/8", "4' 2 3/8\""),
    ],
)
def test_built_lengths(inches: str, written: str) -> None:
    assert built(read_length(inches), Units.INCH) == written
    assert built(read_length(inches), Units.METRIC).endswith(" mm")


def test_turns_are_told_from_one_bend_to_the_next() -> None:
    """What is to bend to the right (roll 90) is brought up by a turn to the left."""
    mark = saddle().marks[0]
    rolls = [0.0, 180.0, 0.0, 90.0, 90.0, 36.5]
    told = turns([replace(mark, roll=roll) for roll in rolls])
    assert told == ("–", "half a turn", "half a turn", "90° left", "no turn", "53½° right")


def test_in_the_air_the_bender_is_turned_and_the_conduit_stays() -> None:
    """A bend comes up on the floor and goes down in the air: the same half a turn (plane geometry)."""
    mark = saddle().marks[0]
    marks = [replace(mark, roll=roll, order=order) for order, roll in enumerate([0.0, 180.0, 180.0, 0.0], 1)]
    assert turns(marks, {2, 3}) == ("–", "no turn", "no turn", "no turn")
    assert handles(marks, {2, 3}) == ("up", "down", "down", "up")
    assert turns(marks, {3}) == ("–", "half a turn", "half a turn", "no turn")
    assert handles(marks, ()) == ("",) * 4


def test_pipes_of_a_rack_have_their_own_lines() -> None:
    job = published()
    (first, *_), stick = job.sticks, job.sticks[0].stick
    further = RackPipe(
        "second", Fraction(2), (replace(stick.marks[0], at=Fraction(7)),), None, {"height": Fraction(12)}
    )
    rack = replace(job, sticks=(replace(first, rack=(further,)),))
    lines = PdfReader(BytesIO(sheet_pdf(rack))).pages[0].extract_text().splitlines()
    assert {"second", '2"', '7"', 'height 12"', 'height 10"'} <= {line.strip() for line in lines}


def test_a_rack_of_ninetys_is_one_stick_with_its_pipes() -> None:
    """A stub of 12 on half-inch EMT is marked at 7 (take-up 5); 2 outside it a stub of 14 is marked at 9."""
    ninety = {"kind": "stub", "measures": {"height": "12"}}
    raw = {"name": "rack", "setup": PUBLISHED["setup"], "sticks": [{"name": "1", "bends": [ninety]}]}
    (stick,) = job_from_written(raw).sticks
    pipes = [replace(stick, name=str(n), pipe=n, shift=Fraction(2 * n - 2)) for n in (1, 2, 3)]
    (entry,) = sheet_of(Job(1, (*pipes, replace(pipes[0], name="4", pipe=4)))).sticks
    assert (entry.name, entry.copies, entry.stick.marks[0].at) == ("1", 2, Fraction(7))
    told = [(pipe.name, float(pipe.shift), float(pipe.marks[0].at)) for pipe in entry.rack]
    assert told == [("2", 2.0, 9.0), ("3", 4.0, 11.0)]
    assert [dict(pipe.measures) for pipe in entry.rack] == [
        {"height": Fraction(14)},
        {"height": Fraction(16)},
    ]


def test_work_begun_on_one_pipe_sets_it_apart() -> None:
    raw = {"name": "rack", "setup": PUBLISHED["setup"], "sticks": PUBLISHED["sticks"][:1]}
    (stick,) = job_from_written(raw).sticks
    begun = replace(stick.told(spoken_now(lay_out_stick(stick, KNOWN).stick)), bent=(1,))  # type: ignore[arg-type]
    entries = sheet_of(Job(1, (begun, replace(stick, name="B", pipe=2)))).sticks
    assert [(entry.name, entry.copies, entry.bent) for entry in entries] == [("A", 1, (1,)), ("B", 1, ())]


def test_what_is_not_known_is_said() -> None:
    job = published()
    kept = Note("spoken", "Spoken marks kept: today's version would mark {at}.", {"at": Fraction(57, 8)})
    entry = replace(job.sticks[0], notes=(kept,), not_recorded=("bender", "turn"))
    job = replace(job, sticks=(entry,), not_recorded=("place",))
    text = " ".join(PdfReader(BytesIO(sheet_pdf(job))).pages[0].extract_text().split())
    assert "Spoken marks kept: today's version would mark 7 1/8\"." in text
    assert "Not recorded at the time: bender, turn." in text
    assert "Not recorded at the time: place." in text


def test_only_marks_that_differ_are_said_to_differ() -> None:
    """Marks spoken by this version are no news; one that this version would put elsewhere is."""
    (stick, *_) = job_from_written(PUBLISHED).sticks
    laid = lay_out_stick(stick, KNOWN)
    assert laid.stick is not None
    spoken = spoken_now(laid.stick)
    elsewhere = replace(spoken, marks=tuple(replace(mark, at=mark.at + 1) for mark in spoken.marks))
    for told, differs in ((spoken, False), (elsewhere, True)):
        kept = lay_out_stick(stick.told(told), KNOWN)
        assert kept.differs == differs
        assert any(note.code == "as_spoken" for note in kept.notes) == differs


def test_sections_have_their_own_part() -> None:
    sticks = [
        {**stick, "run": run} for stick, run in zip(PUBLISHED["sticks"], ("A to B", "B to C"), strict=True)
    ]
    job = written({"name": "boxes", "setup": PUBLISHED["setup"], "sticks": sticks})
    entries = tuple(
        replace(entry, run=run) for entry, run in zip(job.sticks, ("A to B", "B to C"), strict=True)
    )
    text = "\n".join(
        page.extract_text() for page in PdfReader(BytesIO(sheet_pdf(replace(job, sticks=entries)))).pages
    )
    order = ["Run A to B", "Stick A", "A to B: 1 stick", "Run B to C", "Stick B", "B to C: 1 stick"]
    assert [text.index(said) for said in order] == sorted(text.index(said) for said in order)


def test_a_job_of_two_thousand_sticks_is_refused() -> None:
    job = saddles(1)
    with pytest.raises(BenchError, match="2000 sticks") as caught:
        sheet_pdf(replace(job, sticks=job.sticks * 2000))
    assert "300" in caught.value.remedy.template


def test_svg_as_reviewed() -> None:
    """Reviewed as a picture; its words in order are kept beside this test."""
    words = [
        (text.text or "").strip()
        for text in ElementTree.fromstring(sheet_svg(published())).iter(f"{SVG}text")
    ]
    golden = HERE / "worked_examples.txt"
    assert "\n".join(words) + "\n" == golden.read_text("utf-8")


def saddle() -> Plan:
    return work_out("saddle3", {"to_center": Fraction(48), "height": Fraction(3), "angle": 22.5}, HALF)


def test_plan_drawing_has_every_mark() -> None:
    words = {
        text.text and text.text.strip()
        for text in ElementTree.fromstring(plan_svg(saddle(), HALF)).iter(f"{SVG}text")
    }
    assert {"1  22½°", "2  45°", "3  22½°", "TAPE", "END", '3"', "arrow", "rim notch", "star", "cut"} <= words
    assert "10' 0\" of 1/2 EMT" in words


@pytest.mark.parametrize("width", [40, 80, 132])
def test_terminal_drawing(width: int) -> None:
    plan = saddle()
    lines = stick_drawing(plan, HALF, width).splitlines()
    assert max(map(len, lines)) <= width
    pipe = next(line for line in lines if line.startswith("╞"))
    places = [index for index, letter in enumerate(pipe) if letter == "╪"]
    expected = [round(float(mark.at) / 120 * (width - 1)) for mark in plan.marks]
    assert places == expected
    assert all(any(f"{mark.name}: " in line for line in lines) for mark in plan.marks)
    millimeters = stick_drawing(plan, HALF, width, Units.METRIC)
    assert "mm" in millimeters
    assert '"' not in millimeters


@pytest.mark.parametrize("width", [40, 60, 80])
def test_the_terminal_drawing_says_what_its_signs_mean(width: int) -> None:
    """Every sign drawn has an entry, and none that is not."""
    stub = work_out("stub", {"height": Fraction(12)}, HALF)
    cut = work_out(
        "saddle3", {"to_center": Fraction(48), "height": Fraction(3), "to_end": Fraction(100)}, HALF
    )
    meanings = {
        "▼": "arrow",
        "◆": "rim notch",
        "★": "star",
        "→": "hook faces this way",
        "┊": "cut",
        "╪": "mark",
    }
    for plan in (stub, saddle(), cut):
        drawn, _, told = stick_drawing(plan, HALF, width).rpartition("\n\n")
        assert max(map(len, told.splitlines())) <= width
        for sign, meaning in meanings.items():
            assert (f"{sign} {meaning}" in told) == (sign in drawn or (sign == "→" and "←" in drawn))


def test_many_marks_on_a_terminal_are_numbered_and_apart() -> None:
    shots: dict[str, Fraction | float | int] = {"radius": Fraction(24), "angle": 90.0, "shots": 18}
    rows = stick_drawing(work_out("segmented", shots, HALF), HALF, 80).splitlines()
    pipe = next(at for at, row in enumerate(rows) if row.startswith("╞"))
    numbers = " ".join(rows[pipe + 1 : rows.index("", pipe)]).split()
    assert sorted(map(int, numbers)) == list(range(1, 19))


CSV = """stick,conduit,size,bend,distance,rise,angle,to_center,height,sideways,copies
A1,emt,1/2,offset,40,6,30,,,,3
A2,emt,1/2,saddle3,,,,36,2 1/2,,
A2,,,offset,70,4,22.5,,,,
B1,rmc,1,rolling,50,8,30,,,6,
"""


def test_list_of_sticks() -> None:
    job = sheet_of(job_from_csv(CSV, "list.csv"))
    assert [(entry.name, entry.copies, len(entry.stick.marks)) for entry in job.sticks] == [
        ("A1", 3, 2),
        ("A2", 1, 5),
        ("B1", 1, 2),
    ]
    assert job.sticks[2].stick.setup.conduit.kind == "rmc"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("stick,bend,color\nA,stub,red\n", "color"),
        ("bend\nstub\n", "stick"),
        ("stick,bend\n", "no sticks"),
        ("stick,bend,method\nA,stub,guess\n", "line 2"),
        ("stick,bend\nA\n", "line 2"),
        ("stick,copies\nA,some\n", "some"),
        ("stick,copies\nA,1000000000\n", "1000000000"),
        ("stick,bend,height,roll\nA,stub,10,nan\n", "nan"),
        ("stick,stick\nA,A\n", "twice"),
        ("stick,conduit\nA,emt\n", "line 2"),
    ],
)
def test_bad_list_names_the_place(text: str, said: str) -> None:
    with pytest.raises(BenchError) as caught:
        job_from_csv(text, "list.csv")
    assert said in " ".join(map(str, caught.value.message.values.values()))
    assert caught.value.remedy.template


@pytest.mark.parametrize(
    "job",
    [
        {},
        {"name": "x", "sticks": [{"name": "1", "bends": [{"kind": "knot", "measures": {}}]}]},
        {"name": "x", "sticks": [{"name": "1", "bends": [{"kind": "stub", "measures": {"height": "tall"}}]}]},
        {"name": "x", "sticks": [{"name": "1", "bends": [{"kind": "stub", "measures": {"height": True}}]}]},
        {"name": "x", "sticks": [], "extra": 1},
    ],
)
def test_bad_job_is_told(job: dict[str, object]) -> None:
    with pytest.raises(BenchError):
        written(job)


def test_a_stick_that_names_no_conduit_is_told_and_never_guessed() -> None:
    """Printed marks for another conduit would be wrong by inches."""
    with pytest.raises(BenchError, match="bent from"):
        written({"name": "x", "sticks": PUBLISHED["sticks"]})


def test_the_command_names_and_dates_the_job(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "job.json").write_text(json.dumps(PUBLISHED), "utf-8")
    named = ["--name", "Kitchen", "--place", "East wall"]
    assert main(["sheet", str(tmp_path / "job.json"), "-o", str(tmp_path / "a.pdf"), *named]) == 0
    assert capsys.readouterr().out.strip() == str(tmp_path / "a.pdf")
    lines = set(pdf_text(tmp_path / "a.pdf").splitlines())
    assert {"Job sheet: Kitchen", "Place: East wall", f"Date: {date.today().isoformat()}"} <= lines


def test_command_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "job.json").write_text(json.dumps(PUBLISHED), "utf-8")
    for kind in ("pdf", "svg"):
        assert main(["sheet", str(tmp_path / "job.json"), "-o", str(tmp_path / f"out.{kind}")]) == 0
        assert (tmp_path / f"out.{kind}").stat().st_size > 1000
    assert main(["sheet", str(tmp_path / "job.json"), "-o", str(tmp_path / "out.doc")]) == 2
    assert main(["sheet", str(tmp_path / "job.json"), "-o", str(tmp_path / "no" / "out.pdf")]) == 2
    assert main(["sheet", str(tmp_path / "missing.json"), "-o", str(tmp_path / "out.pdf")]) == 2
    kept = (tmp_path / "out.pdf").read_bytes()
    assert main(["sheet", str(tmp_path / "job.json"), "-o", str(tmp_path / "out.pdf"), "--paper", "a4"]) == 2
    assert (tmp_path / "out.pdf").read_bytes() == kept
    assert "--force" in capsys.readouterr().err
    force = ["--paper", "a4", "--force"]
    assert main(["sheet", str(tmp_path / "job.json"), "-o", str(tmp_path / "out.pdf"), *force]) == 0
    assert (tmp_path / "out.pdf").read_bytes() != kept
    assert main(["sheet", str(tmp_path / "job.json"), "-o", str(tmp_path / "no" / "out.pdf")]) == 2
    assert "folder" in capsys.readouterr().err
