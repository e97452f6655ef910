"""The helper process that renders speech with pyttsx3: words in, a sound file out. Never plays anything.

pyttsx3 loses phrases and hangs when it plays or is used from several threads; `save_to_file` alone, one
phrase at a time in one thread of a process of its own, is reliable. Run by `bench.voice.renderer`.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path
from typing import Any

from bench.voice.library import make_espeak_available
from bench.voice.wire import Message, own_output, receive, send


def main() -> None:
    """Answer requests until the assistant closes the pipe."""
    out = own_output()
    try:
        make_espeak_available()
        import pyttsx3

        engine = pyttsx3.init()
        send(out, {"voices": _voices(engine), "voice": str(engine.getProperty("voice"))})
    except Exception as error:  # drivers raise what they like: OSError, RuntimeError, KeyError, ImportError
        send(out, {"error": f"{type(error).__name__}: {error}"})
        return
    with tempfile.TemporaryDirectory(prefix="bench-voice-") as folder:
        while (request := receive(sys.stdin.buffer)) is not None:
            try:
                send(out, {}, _render(engine, request[0], Path(folder) / "phrase"))
            except Exception as error:
                send(out, {"error": f"{type(error).__name__}: {error}"})


def _voices(engine: Any) -> list[Message]:
    listed = engine.getProperty("voices")
    return [{"id": voice.id, "name": voice.name, "languages": _languages(voice)} for voice in listed]


def _languages(voice: Any) -> list[str]:
    """Language codes of a voice: drivers give text or bytes, some with a priority byte in front."""
    texts = [
        item.decode("utf-8", "ignore") if isinstance(item, bytes) else str(item) for item in voice.languages
    ]
    return [
        text.strip("\x00\x01\x02\x03\x04\x05\x06\x07\x08\x09").lower().replace("_", "-") for text in texts
    ]


def _render(engine: Any, request: Message, path: Path) -> bytes:
    path.unlink(missing_ok=True)
    engine.setProperty("voice", request["voice"])
    engine.setProperty("rate", int(request["words_per_minute"]))
    engine.save_to_file(request["words"], str(path))
    engine.runAndWait()
    return path.read_bytes()


if __name__ == "__main__":
    main()
