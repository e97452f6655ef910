"""Renders words to samples with pyttsx3 in a helper process or with a speech program, both with a time limit."""

from __future__ import annotations

import logging
import subprocess
import sys
import threading
from collections import OrderedDict

from bench.audio import pipes
from bench.audio.sound import Sound, read_sound
from bench.core.notes import BenchError
from bench.data.temporary import temporary_folder
from bench.voice import library
from bench.voice.voices import PYTTSX3, Program, Voice, choose, program_voices, programs

log = logging.getLogger(__name__)

LIMIT_S = 6.0
"""Time limit for rendering a phrase. espeak-ng needs about 20 ms, the slowest program under a second."""

CACHED_SECONDS = 240.0
"""Limit of the phrase cache, about 11 MB at 22 kHz. The oldest phrases are dropped first."""

_UNSPEAKABLE = frozenset('0123456789/"½¼¾°')
"""Characters that voices misread: espeak-ng says "one slash two" and skips a final inch mark."""


class Renderer:
    """Turns words into sound. Not thread-safe; only `close` may be called from another thread.

    Every method raises BenchError (`voice_missing`, `voice_unknown`, `voice_failed`) after one failed retry. The
    next call tries again from the start.
    """

    def __init__(self, limit: float = LIMIT_S) -> None:
        self._limit = limit
        self._helper: _Helper | None = None
        self._kept: OrderedDict[tuple[Voice, int, str], Sound] = OrderedDict()
        self._kept_seconds = 0.0

    def voices(self) -> tuple[Voice, ...]:
        """Every voice of this machine. Raises BenchError when there is none at all."""
        others = program_voices()
        try:
            return (*self._pyttsx3().voices, *others)
        except BenchError:
            if others:
                return others
            raise

    def render(self, words: str, voice: str, words_per_minute: int) -> Sound:
        """`words` spoken by the named voice at about that rate."""
        _warn_unspeakable(words)
        speaker = choose(voice, self.voices())
        key = (speaker, words_per_minute, words)
        if key not in self._kept:
            self._keep(key, self._rendered(words, speaker, words_per_minute))
        self._kept.move_to_end(key)
        return self._kept[key]

    @property
    def process(self) -> subprocess.Popen[bytes] | None:
        """The helper process, while there is one."""
        return self._helper.process if self._helper else None

    def close(self) -> None:
        """End the helper process."""
        helper, self._helper = self._helper, None
        if helper is not None:
            helper.end()

    def _rendered(self, words: str, voice: Voice, rate: int) -> Sound:
        if voice.engine != PYTTSX3:
            program = next(program for program in programs() if program.name == voice.engine)
            return _run_program(program, words, voice.key, rate, self._limit)
        try:
            return self._pyttsx3().render(words, voice.key, rate)
        except BenchError as error:
            log.warning("rendering again in a new process: %s", error)
            self.close()
            return self._pyttsx3().render(words, voice.key, rate)

    def _pyttsx3(self) -> _Helper:
        if self._helper is None:
            self._helper = _Helper(self._limit)
        return self._helper

    def _keep(self, key: tuple[Voice, int, str], sound: Sound) -> None:
        self._kept[key] = sound
        self._kept_seconds += sound.seconds
        while self._kept_seconds > CACHED_SECONDS and len(self._kept) > 1:
            self._kept_seconds -= self._kept.popitem(last=False)[1].seconds


class _Helper:
    """The process that runs pyttsx3, and its voices. Raises BenchError when it cannot be started."""

    def __init__(self, limit: float) -> None:
        self._limit = limit
        self.process = pipes.start("bench.voice.render_process")
        reply, _ = self._answer(code="voice_missing")
        listed = [
            Voice(PYTTSX3, item["id"], item["name"], tuple(item["languages"])) for item in reply["voices"]
        ]
        self.voices = tuple(listed)

    def render(self, words: str, voice: str, rate: int) -> Sound:
        assert self.process.stdin is not None
        request = {"words": words, "voice": voice, "words_per_minute": rate}
        try:
            pipes.send(self.process.stdin, request)
        except (OSError, ValueError) as error:
            raise _failed(str(error)) from error
        _, data = self._answer(code="voice_failed")
        try:
            sound = read_sound(data)
        except ValueError as error:
            raise _failed(str(error)) from error
        if not len(sound.samples):
            raise _failed("it produced no sound")
        return sound

    def end(self) -> None:
        pipes.end(self.process)

    def _answer(self, code: str) -> tuple[pipes.Message, bytes]:
        """The helper's next message. A helper that is late, gone or reports an error is ended."""
        assert self.process.stdout is not None
        late = threading.Timer(self._limit, self.process.kill)
        late.daemon = True
        late.start()
        try:
            answer = pipes.receive(self.process.stdout)
        except (OSError, ValueError) as error:
            answer = ({"error": str(error)}, b"")
        finally:
            late.cancel()
        if answer is not None and "error" not in answer[0]:
            return answer
        self.end()
        reason = answer[0]["error"] if answer is not None else "it ended or hung"
        raise _missing(reason) if code == "voice_missing" else _failed(reason)


def _run_program(program: Program, words: str, voice: str, rate: int, limit: float) -> Sound:
    with temporary_folder("voice") as folder:
        path = folder / "phrase.wav"
        stretch = f"{program.words_per_minute / rate:.2f}"
        filled = [
            part.format(voice=voice, words=words, file=path, stretch=stretch) for part in program.command
        ]
        try:
            subprocess.run(filled, check=True, capture_output=True, timeout=limit)
            return read_sound(path.read_bytes())
        except (OSError, subprocess.SubprocessError, ValueError) as error:
            raise _failed(f"{program.name}: {error}") from error


def _missing(reason: str) -> BenchError:
    log.warning("no voice: %s", reason)
    remedy = (
        library.REMEDY
        if sys.platform.startswith("linux")
        else "Install a system voice, then start Bench again."
    )
    return BenchError("There is no voice on this machine.", remedy, code="voice_missing")


def _failed(reason: str) -> BenchError:
    log.warning("the voice failed: %s", reason)
    return BenchError(
        "The voice failed.",
        "Read the screen. The voice is tried again with the next sentence.",
        "voice_failed",
    )


def _warn_unspeakable(words: str) -> None:
    if _UNSPEAKABLE & set(words):
        log.warning("digits or symbols reached the voice, which misreads them: %r", words)
