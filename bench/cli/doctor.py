"""Check what works on this machine, what does not, and how to fix it.

The exit code is 1 when the main job cannot run by voice.

bench doctor            test every part: the microphone listens, the loudspeaker plays two notes
bench doctor --record   record you speaking for three seconds; report loudness, noise and the words heard; play it back
bench doctor --screen   visual size of the number and instruction of every step at two, three and five meters
"""

from __future__ import annotations

import argparse
import json
import os
import shutil
import sys
from dataclasses import asdict
from pathlib import Path

from bench.assistant.log import log_to_file
from bench.core.notes import BenchError
from bench.data.folders import data_folder
from bench.ears.choose import EARS
from bench.language.write import written

_NUMBER = '27 3/8"'


def configure(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--record", action="store_true", help="record three seconds and judge them")
    parser.add_argument("--screen", action="store_true", help="size of the number in minutes of arc")
    parser.add_argument("--terminal", type=_cells, metavar="80x24", help="another terminal, for --screen")
    parser.add_argument("--mic", metavar="NAME", help="the microphone, or part of its name")
    parser.add_argument("--speaker", metavar="NAME", help="the loudspeaker, or part of its name")
    parser.add_argument("--voice", default="auto", metavar="NAME", help="the voice, or part of its name")
    parser.add_argument("--ear", choices=EARS, default="auto", help="the recognizer")
    parser.add_argument("--model", type=Path, metavar="DIR", help="a speech model for it")
    parser.add_argument("--data", type=Path, metavar="DIR", help="the folder of jobs")
    parser.add_argument("--json", action="store_true", help="one JSON object")


def run(args: argparse.Namespace) -> int:
    log_to_file()
    if args.screen:
        return _screen(args)
    if args.record:
        return _record(args)
    return _examine(args)


def _examine(args: argparse.Namespace) -> int:
    from bench.doctor import checks
    from bench.doctor.findings import Finding, by_voice, examined

    looks = (
        ("microphone", lambda: checks.microphone(args.mic)),
        ("speaker", lambda: checks.loudspeaker(args.speaker)),
        ("voice", lambda: checks.voice(args.voice)),
        ("ears", lambda: checks.ears(args.ear, args.model)),
        ("data", checks.data),
        ("disk", lambda: checks.disk(args.data or data_folder())),
    )
    findings: list[Finding] = []
    for part, look in looks:
        findings.append(examined(part, look))
        if not args.json:
            print(_readable(findings[-1]), flush=True)
    able = by_voice(findings)
    if args.json:
        print(json.dumps({"by_voice": able, "findings": [asdict(finding) for finding in findings]}))
    else:
        print(
            "\nThe main job can run by voice."
            if able
            else "\nThe main job cannot run by voice on this machine."
        )
    return 0 if able else 1


def _readable(finding: object) -> str:
    from bench.doctor.findings import Finding

    assert isinstance(finding, Finding)
    sign = "TROUBLE" if not finding.works else "LOOK" if finding.doubt else "works"
    text = f"{sign:<8} {finding.part:<11} {finding.message}"
    if finding.remedy:
        text += f"\n{'':<21}{finding.remedy}"
    if len(finding.others) > 1:
        text += f"\n{'':<21}There are: {', '.join(finding.others)}"
    return text


def _record(args: argparse.Namespace) -> int:
    from bench.doctor.checks import TRIAL
    from bench.doctor.recording import play_back, trial

    def ready(name: str) -> None:
        print(f'Say "{TRIAL}" into {name} now ...', file=sys.stderr, flush=True)

    made = trial(args.mic, args.ear, args.model, ready)
    report = {
        "speech_dbfs": round(made.speech, 1),
        "noise_dbfs": round(made.noise, 1),
        "snr_db": round(made.snr, 1),
        "clipped": made.clipped,
        "heard": made.heard.text,
        "confidence": round(made.heard.confidence, 3),
        "advice": made.advice,
    }
    if args.json:
        print(json.dumps(report))
    else:
        print(f"Speech {made.speech:.0f} dBFS, noise {made.noise:.0f} dBFS, {made.snr:.0f} dB SNR.")
        print(f"Heard: {made.heard.text or 'nothing'}. {made.advice}")
        _play_back(play_back, made.sound, args.speaker)
    return 0 if made.advice == "Good." else 1


def _play_back(play: object, sound: object, speaker: str | None) -> None:
    assert callable(play)
    try:
        play(sound, speaker)
    except BenchError as error:
        print(f"Not played back: {written(error.message)}", file=sys.stderr)


def _screen(args: argparse.Namespace) -> int:
    from bench.screen.legibility import (
        LEAST_ARC_MINUTES,
        PREFERRED_ARC_MINUTES,
        STANDARD,
        number_rows,
        readings,
    )

    width, height = args.terminal or _this_terminal()
    seen = readings(width, height, _NUMBER)
    if args.json:
        rows = [
            {"screen": r.panel.name, "meters": r.distance, "enough": r.enough}
            | {"whole": round(r.whole, 1), "fraction": round(r.fraction, 1)}
            for r in seen
        ]
        report = {"columns": width, "rows": height, "standard": STANDARD, "least": LEAST_ARC_MINUTES}
        print(json.dumps({**report, "readings": rows, "steps": _steps(width, height)}))
        return 0
    steps = _steps(width, height)
    tall = number_rows(width, height, _NUMBER)
    print(f"{_NUMBER} in a terminal of {width} by {height} cells: figures {tall} rows high.")
    print("Minutes of arc of its figures and its fraction's figures when the terminal fills the screen.")
    print(f"{STANDARD}: at least {LEAST_ARC_MINUTES:.0f}, preferably {PREFERRED_ARC_MINUTES:.0f} or more.\n")
    for r in seen:
        verdict = "enough" if r.enough else "too small: stand closer or enlarge the terminal's font"
        print(f"  {r.panel.name:<22} {r.distance:.0f} m  {r.whole:6.0f} {r.fraction:6.0f}   {verdict}")
    print(
        "\nEvery step of the demonstration: rows to its smallest instruction, minutes of arc at 3 m on 14 inches.\n"
    )
    for step in steps:
        print(f"  {step['step']:<10} {step['rows']:>3} {step['minutes']:>6}   {step['says']}")
    return 0


def _steps(width: int, height: int) -> list[dict[str, object]]:
    """For each step of the demonstration: letter rows of its instruction, and minutes of arc at three meters."""
    from bench.data.bundle import knowledge
    from bench.demo.story import screens
    from bench.screen.legibility import PANELS, instruction_rows, of_step

    panel = next(panel for panel in PANELS if panel.diagonal == 14.0)
    found: dict[tuple[str, tuple[str, ...]], dict[str, object]] = {}
    for view in screens(knowledge()):
        told = view.action or view.choices or (view.number,)
        minutes = of_step(view, width, height, panel, 3.0)
        rows = instruction_rows(view, width, height)
        found[view.verb, told] = {
            "step": view.verb,
            "says": " / ".join(told),
            "rows": rows,
            "minutes": round(minutes, 1),
        }
    return list(found.values())


def _this_terminal() -> tuple[int, int]:
    size = shutil.get_terminal_size(os.terminal_size((80, 24)))
    return size.columns, size.lines


def _cells(text: str) -> tuple[int, int]:
    width, _, height = text.partition("x")
    try:
        return int(width), int(height)
    except ValueError:
        raise argparse.ArgumentTypeError("give columns x rows, such as 80x24") from None
