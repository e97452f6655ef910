"""The helper process that renders speech with pyttsx3: words in, a sound file out. It never plays sound.

pyttsx3 loses phrases and hangs when it plays sound or is used from several threads. Only `save_to_file`, one phrase at
a time on one thread of a separate process, is reliable. Run by `bench.voice.renderer`.
"""

from __future__ import annotations

import sys
import threading
import time
from pathlib import Path
from typing import Any

from bench.audio.pipes import Message, own_output, receive, send
from bench.data.temporary import temporary_folder
from bench.voice.library import make_espeak_available

ATTEMPTS = 3
FINISHED_WITHIN_S = 4.0
SETTLED_WITHIN_S = 1.0
_NAP_S = 0.01


def main() -> None:
    """Answer requests until the assistant closes the pipe."""
    out = own_output()
    try:
        make_espeak_available()
        engine = Engine()
        send(out, {"voices": engine.voices()})
    except Exception as error:  # drivers raise OSError, RuntimeError, KeyError, ImportError
        send(out, {"error": f"{type(error).__name__}: {error}"})
        return
    with temporary_folder("voice") as folder:
        while (request := receive(sys.stdin.buffer)) is not None:
            try:
                send(out, {}, engine.render(request[0], folder / "phrase"))
            except Exception as error:
                send(out, {"error": f"{type(error).__name__}: {error}"})


class Engine:
    """pyttsx3, one phrase at a time.

    On Linux its driver leaves synthesis to a thread of espeak-ng and does not wait for it. `runAndWait` may return
    before the file is written, and cancels what that thread has not reached yet, a change of rate or the phrase
    itself. So we wait for changes before requesting a phrase, and for the phrase until it is reported complete.
    """

    def __init__(self) -> None:
        import pyttsx3

        self._engine = pyttsx3.init()
        self._waits = self._engine.driver_name == "espeak"
        self._finished = threading.Event()
        self._complete = False
        self._set: tuple[str, int] | None = None
        self._engine.connect("finished-utterance", self._on_finished)
        self._engine.runAndWait()  # nothing to say, but it applies the queued changes

    def voices(self) -> list[Message]:
        """All voices with id, name and language codes."""
        listed = self._engine.getProperty("voices")
        return [{"id": voice.id, "name": voice.name, "languages": _languages(voice)} for voice in listed]

    def render(self, request: Message, path: Path) -> bytes:
        """The sound file of `words` in `voice` at `words_per_minute`. Raises RuntimeError when it fails."""
        self._settle(request["voice"], int(request["words_per_minute"]))
        for _ in range(ATTEMPTS):
            time.sleep(_NAP_S)
            self._complete = False
            self._finished.clear()
            path.unlink(missing_ok=True)
            self._engine.save_to_file(request["words"], str(path))
            self._engine.runAndWait()
            if not self._waits or (self._finished.wait(FINISHED_WITHIN_S) and self._complete):
                return path.read_bytes()
        raise RuntimeError("the phrase was lost")

    def _settle(self, voice: str, rate: int) -> None:
        """Change voice and rate, and wait until the change is applied."""
        if self._set == (voice, rate):
            return
        self._engine.setProperty("voice", voice)
        deadline = time.monotonic() + SETTLED_WITHIN_S
        self._engine.setProperty("rate", rate)
        while self._engine.getProperty("rate") != rate and time.monotonic() < deadline:
            time.sleep(_NAP_S)
            self._engine.setProperty("rate", rate)
        self._set = (voice, rate)

    def _on_finished(self, name: str | None, completed: bool) -> None:
        self._complete = completed
        self._finished.set()


def _languages(voice: Any) -> list[str]:
    """Language codes of a voice. Drivers return text or bytes, some with a leading priority byte."""
    texts = [
        item.decode("utf-8", "ignore") if isinstance(item, bytes) else str(item) for item in voice.languages
    ]
    return [
        text.strip("\x00\x01\x02\x03\x04\x05\x06\x07\x08\x09").lower().replace("_", "-") for text in texts
    ]


if __name__ == "__main__":
    main()
