"""The demonstration as pictures: it comes to its end with the marks of its scenario, in files that any reader takes."""

from __future__ import annotations

from pathlib import Path
from xml.etree import ElementTree

import pytest

from bench.cli import main
from bench.core.notes import BenchError
from bench.data.bundle import knowledge
from bench.demo.scenario import scenario
from bench.demo.story import screens, write_story

KNOWN = knowledge()


def test_the_story_shows_the_marks_of_the_scenario_and_ends() -> None:
    shown = list(screens(KNOWN))
    marks = [view.number for view in shown if view.verb == KNOWN.verbs["mark"]]
    assert tuple(dict.fromkeys(marks)) == scenario().marks
    assert any(view.scenes for view in shown)


def test_every_screen_is_an_svg_without_anything_from_elsewhere(tmp_path: Path) -> None:
    assert main(["demo", "--svg", str(tmp_path / "story"), "--size", "80x24", "--theme", "sunlight"]) == 0
    files = sorted((tmp_path / "story").iterdir())
    assert len(files) > 8
    for file in files:
        root = ElementTree.fromstring(file.read_text(encoding="utf-8"))
        assert root.tag == "{http://www.w3.org/2000/svg}svg"
        assert not [each for each in root.iter() if each.tag.endswith(("image", "script", "use", "a"))]


def test_a_folder_with_files_is_left_alone(tmp_path: Path) -> None:
    kept = tmp_path / "kept.txt"
    kept.write_text("mine", encoding="utf-8")
    with pytest.raises(BenchError):
        write_story(tmp_path, KNOWN, (80, 24), "dark")
    assert [each.name for each in tmp_path.iterdir()] == ["kept.txt"]
