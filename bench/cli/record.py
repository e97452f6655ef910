"""Record phrases to improve recognition: a voice says each phrase and you repeat it, hands-free.

The folder then contains a sound file per phrase, `manifest.jsonl` and the consent note. Nothing is sent anywhere.
Test it with `bench hear FOLDER/manifest.jsonl`.
"""

from __future__ import annotations

import argparse
import json
import secrets
import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import soundfile

from bench.audio.microphone import MicrophoneSource
from bench.audio.samples import RATE, Samples
from bench.audio.source import EndOfSound, RecordingSource, Source
from bench.core.notes import BenchError
from bench.data.files import read_toml, structured
from bench.data.reading import read_text_file
from bench.ears.ear_settings import EarSettings
from bench.ears.segments import CHUNK, CHUNK_SECONDS, Phase
from bench.ears.voice_activity import VoiceActivity
from bench.memory.private import make_folder
from bench.voice.speaker import Speaker
from bench.voice.voice_events import Silent, VoiceEvent

_FILE = "recording.toml"
_MOST_MANIFEST = 16 << 20
PATIENCE = 6.0
"""Seconds to wait for the person to start."""
_SPEAKING_LIMIT = 20.0
_LICENSE = "CC-BY-4.0"
_NO_SOUND = "Check the microphone with `bench doctor`, then continue with `bench record` and the same folder."


@dataclass(frozen=True)
class Script:
    """`shared/recording.toml`: what the volunteer is told and what the volunteer says."""

    welcome: str
    finished: str
    again: str
    consent: str
    phrases: tuple[str, ...]
    talk: tuple[str, ...]


def script() -> Script:
    """The phrases to read. Raises BenchError when the data is damaged."""
    return structured(_FILE, Script, read_toml(_FILE))


def configure(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("folder", type=Path, help="the folder for the clips; continues an earlier session")
    parser.add_argument("--consent", action="store_true", help="you have read and agree to the consent note")
    parser.add_argument("--mic", metavar="NAME", help="part of the microphone's name")
    parser.add_argument("--place", default="", help="where and how you record: shop, two meters, headset ...")
    parser.add_argument("--silent", action="store_true", help="show the phrases without saying them")
    parser.add_argument("--from-file", type=Path, help=argparse.SUPPRESS)


def run(args: argparse.Namespace) -> int:
    lines = script()
    if not args.consent:
        print(lines.consent)
        remedy = "If you agree, run it again with --consent."
        raise BenchError("Recording needs your consent.", remedy, code="consent")
    session = Session(args.folder, lines, args.place)
    source: Source = (
        RecordingSource(args.from_file, paced=False) if args.from_file else MicrophoneSource(args.mic)
    )
    voice = None if args.silent else _Prompter()
    try:
        source.open()
        missing = _record(session, source, voice)
    finally:
        source.close()
        if voice is not None:
            voice.close()
    print(f"{session.count} clips in {args.folder}" + (f", {missing} phrases not heard" if missing else ""))
    return 1 if missing else 0


class Session:
    """The folder with clips, manifest and consent note. Each clip is on disk before the next phrase is requested."""

    def __init__(self, folder: Path, lines: Script, place: str) -> None:
        self._folder, self._place = folder, place
        try:
            make_folder(folder)
            done = self._rows()
            self._speaker = done[0]["speaker"] if done else f"volunteer-{secrets.token_hex(4)}"
            note = folder / "consent.txt"
            if not note.exists():
                date = time.strftime("%Y-%m-%d")
                note.write_text(f"{lines.consent.strip()}\n\n{self._speaker}, {date}\n", encoding="utf-8")
        except OSError as error:
            raise _unwritable(folder, error) from error
        said = {row["text"] for row in done}
        self.count = len(done)
        asked = [(text, True) for text in lines.phrases] + [(text, False) for text in lines.talk]
        self.left = [(text, ours) for text, ours in asked if text not in said]

    def keep(self, text: str, ours: bool, samples: Samples) -> None:
        """Write a clip and its line in the manifest. Raises BenchError when that fails."""
        name = f"{self.count + 1:03d}.flac"
        row = {
            "path": name,
            "text": text,
            "speaker": self._speaker,
            "addressed_to_assistant": ours,
            "duration": round(len(samples) / RATE, 3),
            "place": self._place,
            "licence": _LICENSE,
            "kind": "speech",
        }
        try:
            soundfile.write(str(self._folder / name), samples, RATE)
            with (self._folder / "manifest.jsonl").open("a", encoding="utf-8") as file:
                file.write(json.dumps(row) + "\n")
        except (OSError, RuntimeError) as error:
            raise _unwritable(self._folder, error) from error
        self.count += 1

    def _rows(self) -> list[dict[str, str]]:
        manifest = self._folder / "manifest.jsonl"
        if not manifest.exists():
            return []
        remedy = "Name another folder, or move that file away."
        text = read_text_file(manifest, remedy, "bad_manifest", most=_MOST_MANIFEST)
        rows = []
        for number, line in enumerate(text.splitlines(), 1):
            try:
                row = json.loads(line)
                rows.append({key: str(row[key]) for key in ("text", "speaker")})
            except (ValueError, KeyError, TypeError, RecursionError) as error:
                message = f"{manifest}, line {number}, does not describe a recording."
                raise BenchError(message, remedy, "bad_manifest") from error
        return rows


class _Prompter:
    """Says a phrase and waits until it is finished."""

    def __init__(self) -> None:
        self._silent = threading.Event()
        self._speaker = Speaker(self._on_event)
        self._speaker.start()

    def say(self, words: str) -> None:
        self._silent.clear()
        self._speaker.say(words)
        self._silent.wait(_SPEAKING_LIMIT)

    def close(self) -> None:
        self._speaker.close()

    def _on_event(self, event: VoiceEvent) -> None:
        if isinstance(event, Silent):
            self._silent.set()


def _record(session: Session, source: Source, voice: _Prompter | None) -> int:
    """Ask for all remaining phrases, each at most twice. Returns how many were not heard."""
    lines = script()
    _tell(voice, lines.welcome)
    missing = 0
    for text, ours in list(session.left):
        for attempt in range(2):
            _tell(voice, text if attempt == 0 else f"{lines.again} {text}")
            samples = utterance(source)
            if samples is not None:
                session.keep(text, ours, samples)
                break
        else:
            missing += 1
    _tell(voice, lines.finished)
    return missing


def _tell(voice: _Prompter | None, words: str) -> None:
    print(words, flush=True)
    if voice is not None:
        voice.say(words)


def utterance(source: Source, patience: float = PATIENCE) -> Samples | None:
    """The next utterance with a short silence on both sides. None when nobody spoke within `patience` seconds.

    Sound from before the call is discarded, and so is the end of the voice that still rings on; who answers at once
    is heard whole. Raises BenchError when the microphone delivers no sound.
    """
    settings = EarSettings(pre_roll=0.5)
    activity, kept = VoiceActivity(settings), list[Samples]()
    if not source.waits:
        _drop_backlog(source)
        activity.voice_ended()
    waited = 0.0
    for chunk in _chunks(source):
        if activity.hear(chunk) is Phase.WAITING:
            waited += CHUNK_SECONDS
            if waited > patience:
                return None
            continue
        kept.append(chunk if activity.begun is None else activity.begun)
        if activity.phase is Phase.OVERRUN:
            return None
        if activity.pause >= settings.end_open:
            break
    return np.concatenate(kept) if kept else None


def _drop_backlog(source: Source) -> None:
    """Discard what was captured while the voice spoke."""
    while source.read(0) is not None:
        pass


def _chunks(source: Source) -> Iterator[Samples]:
    """The source's sound in chunks for voice activity detection, until a recording ends."""
    rest: Samples = np.empty(0, np.int16)
    quiet_since = time.monotonic()
    while True:
        try:
            block = source.read(0.5)
        except EndOfSound:
            return
        if block is None:
            if time.monotonic() - quiet_since > 3:
                raise BenchError("No sound comes from the microphone.", _NO_SOUND, code="no_microphone")
            continue
        quiet_since = time.monotonic()
        rest = np.concatenate([rest, block])
        while len(rest) >= CHUNK:
            yield rest[:CHUNK]
            rest = rest[CHUNK:]


def _unwritable(folder: Path, error: Exception) -> BenchError:
    return BenchError(f"{folder} cannot be written: {error}", "Name another folder.", code="disk")
