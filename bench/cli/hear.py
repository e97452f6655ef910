"""Recognize a recording: the words that the ears hear, and the meaning that the assistant takes from them.

FILE is a sound file (WAV, FLAC, OGG) or a manifest: a .jsonl file with {"path": ..., "text": ...} on each line, with
paths relative to the manifest. For a manifest, one JSON line is printed per input line: "right" compares the words
with "text", "meant" compares the meaning.

--expect numbers accepts any sequence of number words (digit strings with oh, zero and double, tens, hundreds,
thousands), which have no meaning to the assistant. "right" then ignores how a number was worded, and "wrong" counts
the deleted, inserted and substituted words out of "spoken".
"""

from __future__ import annotations

import argparse
import json
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np

from bench.audio.recording import read_recording
from bench.audio.samples import RATE, Samples
from bench.cli.understand import EXPECTED, as_json, asked_for, expectation_options
from bench.core.notes import BenchError
from bench.data.phrases import lexicon
from bench.data.reading import read_text_file
from bench.ears.choose import EARS, recognizer
from bench.ears.recognizer import Recognizer
from bench.ears.two_recognizers import TwoRecognizers
from bench.ears.whole import hear_whole
from bench.language.meaning import Expectation, Heard, Kind, typed
from bench.language.numerals import number_words, plain_numerals, words_wrong
from bench.language.understand import understand
from bench.language.write import written

NUMBERS = "numbers"
MOST_MANIFEST = 16 << 20
"""Largest manifest in bytes: a hundred thousand clips."""
LONGEST = 30.0
"""Longest recording, in seconds, that is recognized as one answer."""
Asked = Expectation | None
"""What the assistant expects. None means any number words, which it never expects."""


def configure(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", type=Path, help="a recording, or a manifest (.jsonl)")
    expectation_options(parser, (*EXPECTED, NUMBERS))
    parser.add_argument("--ear", choices=EARS, default="auto", help="the recognizer")
    parser.add_argument("--model", type=Path, help="a Vosk model for the first recognizer")
    parser.add_argument("--second", type=Path, metavar="DIR", help="a model for the second recognizer")
    parser.add_argument("--json", action="store_true", help="one JSON object per recording")


def run(args: argparse.Namespace) -> int:
    asked = None if args.expect == NUMBERS else asked_for(args)
    entries = list(_entries(args.file)) if args.file.suffix == ".jsonl" else []
    grammar = None if asked else (lambda _: number_words())
    many = args.file.suffix == ".jsonl"
    sound = np.empty(0, np.int16) if many else read_recording(args.file, LONGEST)
    ear = recognizer(args.ear, args.model, args.second, grammar=grammar)
    try:
        ear.expect(asked or Expectation(Kind.COUNT))
        if many:
            return _hear_manifest(ear, args.file, entries, asked)
        report = _hear(ear, args.file, sound, asked)
        print(json.dumps(report) if args.json else _readable(report))
        return 0
    finally:
        ear.close()


def _hear_manifest(ear: Recognizer, manifest: Path, entries: list[dict[str, Any]], asked: Asked) -> int:
    """Print one line per entry, also for an unreadable recording. Returns 1 if there was one."""
    failed = False
    for entry in entries:
        try:
            path = manifest.parent / entry["path"]
            report = _hear(ear, path, read_recording(path, LONGEST), asked)
        except BenchError as error:
            trouble = {"code": error.code, "message": written(error.message), "try": written(error.remedy)}
            report = {"path": entry["path"], "error": trouble}
            failed = True
        else:
            report = {**report, "path": entry["path"], **_compared(report, entry.get("text"), asked)}
        print(json.dumps(report))
        sys.stdout.flush()
    return 1 if failed else 0


def _entries(manifest: Path) -> Iterator[dict[str, Any]]:
    """The entries, checked before any model is loaded. Raises BenchError naming the line."""
    remedy = 'Each line is a JSON object such as {"path": "a.wav", "text": "twenty"}.'
    lines = read_text_file(manifest, remedy, "bad_manifest", most=MOST_MANIFEST).splitlines()
    for number, line in enumerate(lines, 1):
        if not line.strip():
            continue
        try:
            entry = json.loads(line)
            if not isinstance(entry["path"], str):
                raise TypeError("a path must be text")
        except (ValueError, KeyError, TypeError, RecursionError) as error:
            raise BenchError(
                f"{manifest}, line {number}, has no path.", remedy, code="bad_manifest"
            ) from error
        yield entry


def _hear(ear: Recognizer, path: Path, sound: Samples, asked: Asked) -> dict[str, Any]:
    began = time.perf_counter()
    heard = hear_whole(ear, sound)
    taken = time.perf_counter() - began
    return {
        "path": str(path),
        "ear": ear.name,
        "words": heard.text,
        "heard": _readings(heard),
        **_recognizers(ear),
        **_meant(heard, asked),
        "confidence": round(heard.confidence, 4),
        "audio_seconds": round(len(sound) / RATE, 3),
        "taken_seconds": round(taken, 3),
    }


def _recognizers(ear: Recognizer) -> dict[str, object]:
    """The results of the two recognizers: confidence of the first, log probability of the second."""
    if not isinstance(ear, TwoRecognizers):
        return {}
    second = [{"words": " ".join(one.words), "score": one.score} for one in ear.apart.second or ()]
    return {"listeners": {"first": _readings(ear.apart.first), "second": second}}


def _readings(heard: Heard) -> list[dict[str, object]]:
    return [
        {"words": " ".join(one.words), "confidence": round(one.confidence, 4)} for one in heard.hypotheses
    ]


def _meant(heard: Heard, asked: Asked) -> dict[str, object]:
    if asked is not None:
        return as_json(understand(heard, asked, lexicon()), asked.units)
    numbers = " ".join(plain_numerals(heard.text.split()))
    return {"meaning": {NUMBERS: numbers} if numbers else None, "rejected": not numbers, "trouble": "nothing"}


def _compared(report: dict[str, Any], text: str | None, asked: Asked) -> dict[str, object]:
    """Whether words and meaning match the transcript. Empty without one."""
    if text is None:
        return {}
    if asked is None:
        return _compared_numbers(report["words"], text)
    meant = _meant(typed(text), asked)["meaning"]
    right = report["words"].split() == text.lower().split()
    return {
        "text": text,
        "right": right,
        "meant": report["meaning"] is not None and report["meaning"] == meant,
    }


def _compared_numbers(words: str, text: str) -> dict[str, object]:
    """Whether the numbers match the transcript, however they are worded."""
    said, heard = (plain_numerals(one.lower().split()) for one in (text, words))
    return {"text": text, "right": said == heard, "wrong": words_wrong(said, heard), "spoken": len(said)}


def _readable(report: dict[str, Any]) -> str:
    if not report["words"]:
        heard = "nothing that can be said here"
    else:
        heard = f"{report['words']}  ({report['confidence']:.0%} sure)"
    meaning = json.dumps(report["meaning"]) if report["meaning"] else f"not taken: {report['trouble']}"
    seconds = f"{report['audio_seconds']} s of sound in {report['taken_seconds']} s by {report['ear']}"
    return f"heard:  {heard}\nmeans:  {meaning}\n{seconds}"
