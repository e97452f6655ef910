"""A recording to words and meaning: what the ears would hear, and what the assistant would take it to mean.

FILE is a sound file (WAV, FLAC, OGG), or a manifest: a .jsonl file with {"path": ..., "text": ...} on each
line, paths relative to the manifest. A manifest gives one JSON line out for each line in: "right" compares
the words with "text", "meant" compares what was understood.
"""

from __future__ import annotations

import argparse
import json
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from bench.audio.samples import RATE
from bench.audio.source import read_recording
from bench.cli.understand import as_json, asked_for, expectation_options
from bench.core.notes import BenchError
from bench.data.phrases import lexicon
from bench.ears.choose import EARS, recognizer
from bench.ears.recognizer import Recognizer
from bench.ears.two_listeners import TwoListeners
from bench.ears.whole import hear_whole
from bench.language.meaning import Expectation, Heard, Understanding, typed
from bench.language.understand import understand
from bench.language.write import written


def configure(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", type=Path, help="a recording, or a manifest (.jsonl)")
    expectation_options(parser)
    parser.add_argument("--ear", choices=EARS, default="auto", help="the recognizer")
    parser.add_argument("--model", type=Path, help="a Vosk model for the first listener")
    parser.add_argument("--second", type=Path, metavar="DIR", help="a model for the second listener")
    parser.add_argument("--json", action="store_true", help="one JSON object a recording")


def run(args: argparse.Namespace) -> int:
    expectation = asked_for(args)
    ear = recognizer(args.ear, args.model, args.second)
    try:
        ear.expect(expectation)
        if args.file.suffix == ".jsonl":
            return _hear_manifest(ear, args.file, expectation)
        report = _hear(ear, args.file, expectation)
        print(json.dumps(report) if args.json else _readable(report))
        return 0
    finally:
        ear.close()


def _hear_manifest(ear: Recognizer, manifest: Path, expectation: Expectation) -> int:
    """One line out for each line in, also for a recording that cannot be read. 1 when there was one."""
    failed = False
    for entry in _entries(manifest):
        try:
            report = _hear(ear, manifest.parent / entry["path"], expectation)
        except BenchError as error:
            trouble = {"code": error.code, "message": written(error.message), "try": written(error.remedy)}
            report = {"path": entry["path"], "error": trouble}
            failed = True
        else:
            report = {**report, "path": entry["path"], **_compared(report, entry.get("text"), expectation)}
        print(json.dumps(report))
        sys.stdout.flush()
    return 1 if failed else 0


def _entries(manifest: Path) -> Iterator[dict[str, Any]]:
    try:
        lines = manifest.read_text(encoding="utf-8").splitlines()
    except (OSError, UnicodeDecodeError) as error:
        raise BenchError(f"The manifest cannot be read: {error}", code="bad_manifest") from error
    for number, line in enumerate(lines, 1):
        if not line.strip():
            continue
        try:
            entry = json.loads(line)
            str(entry["path"])
        except (ValueError, KeyError, TypeError) as error:
            remedy = 'Each line is a JSON object such as {"path": "a.wav", "text": "twenty"}.'
            raise BenchError(
                f"{manifest}, line {number}, has no path.", remedy, code="bad_manifest"
            ) from error
        yield entry


def _hear(ear: Recognizer, path: Path, expectation: Expectation) -> dict[str, Any]:
    sound = read_recording(path)
    began = time.perf_counter()
    heard = hear_whole(ear, sound)
    taken = time.perf_counter() - began
    understood = understand(heard, expectation, lexicon())
    return {
        "path": str(path),
        "ear": ear.name,
        "words": heard.text,
        "heard": _readings(heard),
        **_listeners(ear),
        **_numbers(understood, heard, expectation),
        "audio_seconds": round(len(sound) / RATE, 3),
        "taken_seconds": round(taken, 3),
    }


def _listeners(ear: Recognizer) -> dict[str, object]:
    """What each of two listeners heard: confidence of the first, log probability of the second, its free reading."""
    if not isinstance(ear, TwoListeners):
        return {}
    second = ear.apart.second
    read = [{"words": " ".join(one.words), "score": one.score} for one in second.readings] if second else None
    free = {"words": " ".join(second.free.words), "score": second.free.score} if second else None
    return {"listeners": {"first": _readings(ear.apart.first), "second": read, "free": free}}


def _readings(heard: Heard) -> list[dict[str, object]]:
    return [
        {"words": " ".join(one.words), "confidence": round(one.confidence, 4)} for one in heard.hypotheses
    ]


def _numbers(understood: Understanding, heard: Heard, expectation: Expectation) -> dict[str, object]:
    return {**as_json(understood, expectation.units), "confidence": round(heard.confidence, 4)}


def _compared(report: dict[str, Any], text: str | None, expectation: Expectation) -> dict[str, object]:
    """Whether the words, and the meaning, are those of the transcript; nothing without one."""
    if text is None:
        return {}
    meant = as_json(understand(typed(text), expectation, lexicon()), expectation.units)["meaning"]
    right = report["words"].split() == text.lower().split()
    return {
        "text": text,
        "right": right,
        "meant": report["meaning"] is not None and report["meaning"] == meant,
    }


def _readable(report: dict[str, Any]) -> str:
    if not report["words"]:
        heard = "nothing that can be said here"
    else:
        heard = f"{report['words']}  ({report['confidence']:.0%} sure)"
    meaning = json.dumps(report["meaning"]) if report["meaning"] else f"not taken: {report['trouble']}"
    seconds = f"{report['audio_seconds']} s of sound in {report['taken_seconds']} s by {report['ear']}"
    return f"heard:  {heard}\nmeans:  {meaning}\n{seconds}"
