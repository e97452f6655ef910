"""Real tests of each part: the microphone records, the loudspeaker plays, the recognizer recognizes speech."""

from __future__ import annotations

import os
import shutil
import sqlite3
import tempfile
import threading
import time
from contextlib import closing
from pathlib import Path

import numpy as np

from bench.audio import portaudio
from bench.audio.loudspeaker import Loudspeaker
from bench.audio.microphone import MicrophoneSource
from bench.audio.samples import RATE, Samples
from bench.core.lengths import Units
from bench.core.notes import BenchError
from bench.data.bundle import knowledge
from bench.data.phrases import lexicon
from bench.dialogue.effects import Tone
from bench.doctor.findings import Finding
from bench.ears.choose import recognizer
from bench.ears.level import SILENT, dbfs
from bench.ears.recognizer import Recognizer
from bench.ears.whole import hear_whole
from bench.language.meaning import Expectation, Kind
from bench.language.understand import understand
from bench.language.write import written
from bench.memory import schema
from bench.memory.private import make_folder
from bench.memory.schema import JOB_FILE
from bench.voice.renderer import Renderer
from bench.voice.tones import tone
from bench.voice.voices import choose

LISTENS_S = 0.8
SOUNDS_WITHIN_S = 4.0
LEAST_FREE_MB = 50
TRIAL = "twenty-seven and three eighths"
"""A length that the voice says and the ears recognize. The person is also asked to say it."""

_SECOND_REMEDY = "Run `bench model verify`. Install Bench again if a file is missing."
ANY_LENGTH = Expectation(Kind.LENGTH, units=Units.INCH)


def microphone(wanted: str | None) -> Finding:
    """Open the microphone and record briefly."""
    others = tuple(device.name for device in portaudio.devices("input"))
    source = MicrophoneSource(wanted)
    try:
        source.open()
        sound = captured(source, LISTENS_S)
    except BenchError as error:
        raise BenchError(error.message, _choices("--mic", others) or error.remedy, error.code) from error
    finally:
        source.close()
    if not len(sound):
        message = f"The microphone {source.name} gives no sound."
        return Finding("microphone", False, message, "Unplug it and plug it in again.", others=others)
    loudness = dbfs(sound)
    if loudness <= SILENT:
        message = f"{source.name} delivers only digital silence."
        remedy = "Is it muted? Try: bench doctor --record"
        return Finding("microphone", True, message, remedy, doubt=True, others=others)
    message = f"{source.name} works. The sound level is {loudness:.0f} dBFS."
    return Finding(
        "microphone", True, message, "To test how well it hears you: bench doctor --record", others=others
    )


def captured(source: MicrophoneSource, seconds: float) -> Samples:
    """The sound that an open microphone delivers in `seconds`."""
    blocks: list[Samples] = []
    end = time.monotonic() + seconds
    while (left := end - time.monotonic()) > 0:
        block = source.read(min(left, 0.2))
        if block is not None:
            blocks.append(block)
    return np.concatenate(blocks) if blocks else np.zeros(0, np.int16)


def loudspeaker(wanted: str | None) -> Finding:
    """Open the loudspeaker and play two rising notes to the end."""
    others = tuple(device.name for device in portaudio.devices("output"))
    ended, lost = threading.Event(), threading.Event()
    speaker = Loudspeaker(wanted, lambda turn: ended.set(), lambda reason: lost.set())
    try:
        speaker.gain(-4.0)
        speaker.play(1, tone(Tone.HEARD, speaker.rate), last=True)
        sounded = ended.wait(SOUNDS_WITHIN_S) and not lost.is_set()
    finally:
        speaker.close()
    if not sounded:
        message = f"{speaker.device} opens but plays nothing."
        return Finding("speaker", False, message, _choices("--speaker", others), others=others)
    if speaker.stands_in:
        message = f"{wanted} is missing. Using {speaker.device}."
        return Finding("speaker", True, message, _choices("--speaker", others), doubt=True, others=others)
    message = f"{speaker.device} works. You should have heard two rising notes."
    return Finding("speaker", True, message, "Heard nothing? Turn it up or name another.", others=others)


def voice(wanted: str) -> Finding:
    """Render a phrase with the voice."""
    renderer = Renderer()
    try:
        voices = renderer.voices()
        others = tuple(one.name for one in voices if one.english)
        began = time.monotonic()
        renderer.render(TRIAL, wanted, 160)
        taken = 1000 * (time.monotonic() - began)
    finally:
        renderer.close()
    message = f"{choose(wanted, voices).name} works. A phrase takes {taken:.0f} ms to render."
    return Finding("voice", True, message, others=others)


def ears(ear: str, model: Path | None) -> Finding:
    """Load the recognizer and let it recognize a length spoken by the voice."""
    began = time.monotonic()
    engine, without = _recognizers(ear, model)
    loaded = time.monotonic() - began
    try:
        engine.expect(ANY_LENGTH)
        heard = hear_whole(engine, _trial_sound())
    finally:
        engine.close()
    meant = understand(heard, ANY_LENGTH, lexicon())
    took = f"{engine.name} loads in {loaded:.1f} s"
    if meant.meaning is None and not meant.alternatives:
        message = f"{took} but did not understand the voice say {TRIAL!r}: {heard.text or 'nothing'!r}."
        return Finding("ears", True, message, "Try another with --ear.", doubt=True)
    if without:
        return Finding(
            "ears", True, f"{took} and recognizes a spoken length. {without}", _SECOND_REMEDY, doubt=True
        )
    return Finding("ears", True, f"{took} and recognizes a spoken length.")


def _recognizers(ear: str, model: Path | None) -> tuple[Recognizer, str]:
    """The recognizer, and why the second recognizer is missing, if it should be there but is not."""
    try:
        return recognizer(ear, model), ""
    except BenchError as error:
        if ear == "vosk" or error.code != "second_failed":
            raise
        return recognizer("vosk", model), written(error.message)


def data() -> Finding:
    """Load and validate every table, phrase and prompt."""
    known = knowledge()
    return Finding("data", True, f"Tables, phrases and {len(known.prompts)} prompts are valid.")


def disk(folder: Path) -> Finding:
    """Write to the folder of jobs, check its job file, and measure the free disk space."""
    job_file = folder.absolute() / JOB_FILE
    if os.path.exists(job_file):
        try:
            with closing(sqlite3.connect(f"{job_file.as_uri()}?mode=ro", uri=True, timeout=2)) as db:
                schema.examine(db)
        except (schema.Damaged, sqlite3.Error) as error:
            remedy = "Start Bench. It moves the damaged file and says where."
            return Finding("disk", True, f"{job_file} is damaged: {error}.", remedy, doubt=True)
    try:
        make_folder(folder)
        with tempfile.TemporaryFile(dir=folder) as file:
            file.write(b"bench" * 1000)
            file.flush()
            os.fsync(file.fileno())
    except OSError as error:
        message = f"Jobs cannot be stored in {folder}: {error.strerror}."
        return Finding("disk", False, message, "Make it writable, or name another with --data.")
    free = shutil.disk_usage(folder).free // 1_000_000
    if free < LEAST_FREE_MB:
        return Finding(
            "disk", True, f"Only {free} MB are free for {folder}.", "Free some disk space.", doubt=True
        )
    return Finding("disk", True, f"Jobs are stored in {folder}. {free} MB are free.")


def _trial_sound() -> Samples:
    renderer = Renderer()
    try:
        return renderer.render(TRIAL, "auto", 150).tidied().at(RATE).samples // 2
    finally:
        renderer.close()


def _choices(option: str, names: tuple[str, ...]) -> str:
    return f"Name one with {option}: {', '.join(names)}." if names else ""
