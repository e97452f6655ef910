"""Marks spoken, shown, stored, listed, exported and printed are the same, for the job in hand and earlier ones.

Random jobs go through the real dialogue, session and job file (`person.py`); what was printed is read back by another
library (pypdf) and compared with what was spoken and shown.
"""

from __future__ import annotations

import csv
import io
import json
import re
from collections.abc import Iterator
from contextlib import closing, redirect_stdout
from fractions import Fraction
from pathlib import Path
from tempfile import TemporaryDirectory
from xml.etree import ElementTree

from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from pypdf import PdfReader

from bench.cli import main
from bench.core.lengths import Units
from bench.dialogue.state import Stage
from bench.language.read import read_length
from tests.examples import examples
from tests.job.person import AskedStick, Talk, jobs

PHASES = (Phase.explicit, Phase.reuse, Phase.generate)
"""Without shrinking: each example is a whole job, and making it smaller takes minutes."""
LENGTH = re.compile(r"(?:\d+' ?)?(?:\d+(?: \d+/\d+)?|\d+/\d+)(?:\"| mm)|\d+'")


def printed(*command: str) -> str:
    out = io.StringIO()
    with redirect_stdout(out):
        assert main(list(command)) == 0
    return out.getvalue()


def lengths(text: str, units: Units) -> set[Fraction]:
    """Every length written in a text."""
    return {read_length(found, units) for found in LENGTH.findall(text.replace("\n", " \n"))}


def exported(folder: Path, number: int) -> Iterator[tuple[str, dict[str, set[Fraction]]]]:
    """The marks of a job as other programs get them: by format and stick."""
    shown = json.loads(printed("jobs", "show", str(number), "--json", "--data", str(folder)))
    yield (
        "json",
        {
            stick["name"]: {Fraction(mark["at"]).limit_denominator(4096) for mark in stick["marks"]}
            for stick in shown["sticks"]
        },
    )
    rows = csv.DictReader(io.StringIO(printed("jobs", "show", str(number), "--csv", "--data", str(folder))))
    listed: dict[str, set[Fraction]] = {}
    for row in rows:
        place = Fraction(row["at"]).limit_denominator(4096)
        listed.setdefault(row["stick"], set()).add(place)
    yield "csv", listed


def assert_one_truth(folder: Path, number: int, told: dict[str, set[Fraction]], units: Units) -> None:
    """Lists, exports and paper of a job have the marks that were told, and no others."""
    for form, found in exported(folder, number):
        assert found == told, form
    places = set().union(*told.values())
    text = printed("jobs", "show", str(number), "--data", str(folder))
    assert places <= lengths(text, units)
    for kind in ("pdf", "svg"):
        out = folder / f"{number}.{kind}"
        printed("sheet", str(number), "-o", str(out), "--data", str(folder))
        assert places <= lengths(paper(out), units), kind


@settings(max_examples=examples(4), deadline=None, suppress_health_check=list(HealthCheck), phases=PHASES)
@given(st.lists(jobs, min_size=1, max_size=2))
def test_there_is_one_truth_about_every_job(asked: list[tuple[str, str, bool, list[AskedStick]]]) -> None:
    with TemporaryDirectory() as name:
        folder = Path(name)
        talk = Talk(folder)
        with closing(talk.store):
            for one in asked:
                talk.job(*one)
        worked = [(told, one[2]) for told, one in zip(talk.marks, asked, strict=True) if told]
        for number, (told, metric) in enumerate(worked, start=1):
            assert_one_truth(folder, number, told, Units.METRIC if metric else Units.INCH)


LIST = """stick,conduit,size,bend,distance,rise,angle,height,roll,from_end,copies
A1,emt,1,offset,40,6,30,,,,2
A2,,,stub,,,,14,,,
A2,,,offset,30,4,22.5,,270,,
A3,,,kick,50,5,,,,6,
"""


def test_a_list_is_printed_as_it_was_spoken(tmp_path: Path) -> None:
    """Turn, place on the stick and conduit of a list reach paper too; version 0.1 lost them of an earlier job."""
    (tmp_path / "list.csv").write_text(LIST, "utf-8")
    talk = Talk(tmp_path, sticks=tmp_path / "list.csv")
    talk.marks.append({})
    with closing(talk.store):
        for words in ("emt", "half inch"):
            talk.say(words)
        for _ in range(200):
            stage = talk.state.now.stage
            if stage is Stage.AFTER and talk.state.now.queued == len(talk.state.queue):
                break
            answers = {Stage.READ_BACK: "yes", Stage.WORK: "next", Stage.AFTER: "new stick"}
            talk.say(answers[stage])
        assert [len(marks) for marks in talk.marks[0].values()] == [2, 2, 3, 1]
        tools = {stick.name: (stick.tools.conduit, stick.tools.size) for stick in talk.state.now.job.sticks}
        talk.say("finish the job")
        talk.say("yes")
    assert tools == {"A1": ("emt", "1"), "A1 2": ("emt", "1"), "A2": ("emt", "1"), "A3": ("emt", "1")}
    assert_one_truth(tmp_path, 1, talk.marks[0], Units.INCH)


def paper(path: Path) -> str:
    """The words on a sheet, read back by another library."""
    if path.suffix == ".pdf":
        return "\n".join(page.extract_text() for page in PdfReader(path).pages)
    svg = "{http://www.w3.org/2000/svg}text"
    return "\n".join((text.text or "").strip() for text in ElementTree.parse(path).getroot().iter(svg))
