"""`bench model adapt`: tune the ears to one person, show what was learned, undo it."""

from __future__ import annotations

import json
import sys
from dataclasses import asdict
from pathlib import Path

from bench.core.notes import BenchError
from bench.ears.adapt import adapt, phrases_read
from bench.ears.choose import untuned
from bench.ears.tuning import Voice, forget_voice, keep_voice, kept_voice, voice_file


def adapt_to_person(folder: str | None, undo: bool, as_json: bool) -> int:
    """Adapt to the clips in `folder`; without one show what is kept, or `undo` it. 1 when nothing helps.

    Raises BenchError when the clips cannot be used or the result cannot be kept.
    """
    if undo:
        if folder is not None:
            raise BenchError("--undo takes no folder.", "Use `bench model adapt --undo`.", code="bad_request")
        return _undo(as_json)
    return _show(as_json) if folder is None else _adapt(Path(folder).expanduser(), as_json)


def _undo(as_json: bool) -> int:
    there = forget_voice()
    message = "Your voice is forgotten; the ears hear as they came." if there else "Nothing had been learned."
    print(json.dumps({"forgotten": there}) if as_json else message)
    return 0


def _show(as_json: bool) -> int:
    voice = kept_voice()
    if as_json:
        print(json.dumps(None if voice is None else {**asdict(voice), "file": str(voice_file())}))
    elif voice is None:
        print("The ears are not tuned to anybody. Run `bench record FOLDER --for-me`, then name FOLDER here.")
    else:
        print(
            f"{voice.ear} raises your voice by a factor of {voice.factor}, learned from {voice.phrases} phrases."
        )
        print(f"Kept in {voice_file()}. Undo it with `bench model adapt --undo`.")
    return 0


def _adapt(folder: Path, as_json: bool) -> int:
    read = phrases_read(folder)
    ear = untuned("vosk")
    try:
        outcome = adapt(ear, read, lambda done: _progress(done, len(read)))
    finally:
        ear.close()
    helps = outcome.factor != 1.0
    if helps:
        keep_voice(Voice(ear.name, outcome.factor, outcome.phrases))
    else:
        forget_voice()
    if as_json:
        print(json.dumps({**asdict(outcome), "kept": helps}))
    elif helps:
        print(
            f"Of {outcome.phrases} phrases {outcome.right_before} were understood, now {outcome.right_after}."
        )
        print(f"Kept in {voice_file()}. Undo it with `bench model adapt --undo`.")
    else:
        understood = f"{outcome.right_before} of {outcome.phrases} phrases were understood"
        print(f"{understood}. Nothing tried hears you reliably better, so the ears stay as they came.")
    return 0 if helps else 1


def _progress(done: int, of: int) -> None:
    """A counter for the person at a terminal; silent in a pipe."""
    if sys.stderr.isatty():
        print(f"\rphrase {done} of {of}", end="" if done < of else "\n", file=sys.stderr, flush=True)
