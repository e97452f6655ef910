"""Speech synthesizers for the training phrases. Each produces 16 kHz mono int16 sound.

The engines and the licenses of their voices are listed in CARD.md. A voice is named "engine:voice". The held-out
voices of heldout.toml are never used here.
"""

from __future__ import annotations

import io
import json
import subprocess
import tempfile
import tomllib
import wave
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from random import Random
from typing import ClassVar, Protocol

import numpy as np
from scipy.signal import resample_poly

from models.pronounce import Pronunciation, ipa
from models.units import SILENCE, UNITS

RATE = 16_000


@dataclass(frozen=True)
class Line:
    """One line to speak: the words, the chosen pronunciation of each, the indexes of words before a short pause."""

    words: tuple[str, ...]
    said: tuple[Pronunciation, ...]
    pauses: tuple[int, ...] = ()

    def text(self) -> str:
        """The words for a voice that reads text, with a comma for each pause."""
        return " ".join(word + "," * (at in self.pauses) for at, word in enumerate(self.words))


@dataclass(frozen=True)
class Spoken:
    """The voice and the sound, with the end of each unit in seconds if the engine reports it."""

    voice: str
    samples: np.ndarray
    times: tuple[tuple[str, float], ...] = ()


class Engine(Protocol):
    """A speech synthesizer."""

    def speak(self, line: Line, rng: Random) -> Spoken:
        """Speak the line with a random voice, speed and pitch."""


def held_out() -> frozenset[str]:
    """Kokoro voices that must not be used in training."""
    raw = tomllib.loads((Path(__file__).parent / "heldout.toml").read_text(encoding="utf-8"))
    return frozenset(raw["held_out"]["kokoro"])


class Espeak:
    """eSpeak NG: rule-based and robotic, with many accents and voice qualities. It reads plain text."""

    _accents = ("en-us",) * 6 + (
        "en-gb",
        "en-gb-x-rp",
        "en-gb-scotland",
        "en-us-nyc",
        "en-029",
        "en-gb-x-gbclan",
    )
    _qualities = (
        *(f"+{sex}{number}" for sex, last in (("m", 8), ("f", 5)) for number in range(1, last + 1)),
        *[
            "+klatt",
            "+klatt2",
            "+klatt3",
            "+Andy",
            "+Annie",
            "+Alex",
            "+Denis",
            "+Gene",
            "+Lee",
            "+Mario",
            "+Michael",
            "+Steph",
            "+belinda",
            "+benjamin",
            "+caleb",
            "+david",
            "+ed",
            "+edward",
            "+linda",
            "+max",
            "+quincy",
            "+rob",
            "+sandro",
            "+steph2",
            "+travis",
            "+victor",
            "+zac",
        ],
        "",
    )

    def speak(self, line: Line, rng: Random) -> Spoken:
        voice = rng.choice(self._accents) + rng.choice(self._qualities)
        speed, pitch = str(rng.randint(110, 210)), str(rng.randint(20, 80))
        command = ["espeak-ng", "-v", voice, "-s", speed, "-p", pitch, "--stdout", line.text()]
        done = subprocess.run(command, capture_output=True, check=True, timeout=60)
        return Spoken(f"espeak:{voice}", _wav(done.stdout))


class Flite:
    """Flite: four recorded speakers, American and Scottish. It reports when each phone ends."""

    _units: ClassVar[dict[str, str]] = {
        "ax": "AH", "ix": "IH", "axr": "ER", "dx": "T", "el": "L", "em": "M", "en": "N", "hv": "HH", "nx": "N",
        "pau": SILENCE, "brth": SILENCE, "h#": SILENCE,
    }  # fmt: skip

    def speak(self, line: Line, rng: Random) -> Spoken:
        voice = rng.choice(("slt", "rms", "awb", "kal16"))
        pitch = rng.randint(150, 220) if voice == "slt" else rng.randint(80, 135)
        with tempfile.NamedTemporaryFile(suffix=".wav") as file:
            command = ["flite", "-voice", voice, "--setf", f"duration_stretch={rng.uniform(0.8, 1.3):.2f}"]
            command += [
                "--setf",
                f"int_f0_target_mean={pitch}",
                "-t",
                line.text(),
                "-psdur",
                "-o",
                file.name,
            ]
            done = subprocess.run(command, capture_output=True, check=True, timeout=60, text=True)
            samples = _wav(Path(file.name).read_bytes())
        pairs = [item.rsplit(":", 1) for item in done.stdout.split()]
        times = tuple((self._units.get(name, name.upper()), float(end)) for name, end in pairs)
        return Spoken(f"flite:{voice}", samples, times if all(unit in UNITS for unit, _ in times) else ())


class Kokoro:
    """Kokoro-82M: neural, 54 speakers of nine languages. Two speakers are often mixed into a new one."""

    def __init__(self, folder: Path, voices: Sequence[str] | None = None, mix: float = 0.5) -> None:
        import onnxruntime

        options = onnxruntime.SessionOptions()
        options.intra_op_num_threads = options.inter_op_num_threads = 1
        model = str(folder / "kokoro.onnx")
        self._session = onnxruntime.InferenceSession(model, options, providers=["CPUExecutionProvider"])
        self._letters = json.loads((folder / "vocab.json").read_text(encoding="utf-8"))["vocab"]
        files = sorted((folder / "voices").glob("*.bin"))
        usable = [f for f in files if (f.stem in voices if voices else f.stem not in held_out())]
        self._styles = {f.stem: np.fromfile(f, "<f4").reshape(-1, 256) for f in usable}
        self._english = [name for name in self._styles if name[0] in "ab"]
        self._mix = mix

    def speak(self, line: Line, rng: Random) -> Spoken:
        main = rng.choice(self._english if self._english and rng.random() < 0.75 else list(self._styles))
        style, voice = self._styles[main], main
        if rng.random() < self._mix:
            other, share = rng.choice(list(self._styles)), rng.uniform(0.1, 0.5)
            style, voice = style * (1 - share) + self._styles[other] * share, f"{main}+{other}"
        british = main[0] == "b"
        words = [ipa(said, british, rng) for said in line.said]
        often = 0.04 if line.pauses else 0.08
        paused = [word + "," * (at in line.pauses or rng.random() < often) for at, word in enumerate(words)]
        text = " ".join(paused).rstrip(",") + rng.choice(".,.?!")
        tokens = [self._letters[letter] for letter in text if letter in self._letters]
        fed = {
            "tokens": np.array([[0, *tokens, 0]]),
            "style": style[min(len(tokens), len(style)) - 1][None].astype(np.float32),
            "speed": np.array([rng.uniform(0.75, 1.35)], np.float32),
        }
        sound = np.asarray(self._session.run(None, fed)[0]).ravel()
        return Spoken(f"kokoro:{voice}", _to_int16(resample_poly(sound, 2, 3) * 32_000))


class Hibari:
    """Hibari: one neural voice, a hundred times faster than Kokoro. Pitch and vocal tract length are varied inside it,
    so that it sounds like men, women and children."""

    def __init__(self) -> None:
        from hibari import Hibari as Model

        self._model = Model(threads=1)

    def speak(self, line: Line, rng: Random) -> Spoken:
        from hibari import dsp

        text = " ".join(ipa(said, False, rng) for said in line.said) + rng.choice(".,?!")
        fed = {
            "ids": np.array([self._model.ids(text)]),
            "speed": np.array([rng.uniform(0.75, 1.4)], np.float32),
        }
        tone, phase, breath, rest, rest_phase, pitch = (one[0] for one in self._model.sess.run(None, fed))
        throat = rng.uniform(0.8, 1.08)
        change = rng.uniform(0.45, 1.25) if throat < 0.95 else rng.uniform(0.8, 1.4)
        at = np.clip(np.arange(len(tone)) / throat, 0, len(tone) - 1)
        low = np.floor(at).astype(int)
        share = (at - low)[:, None]
        above = np.minimum(low + 1, len(tone) - 1)

        def moved(table: np.ndarray) -> np.ndarray:
            moved_table: np.ndarray = (table[low] * (1 - share) + table[above] * share).astype(np.float32)
            return moved_table

        noise = np.random.default_rng(rng.getrandbits(32))
        voiced = (pitch * change).astype(np.float32)
        sound = dsp.synth(moved(tone), phase, moved(breath), moved(rest), rest_phase, voiced, noise)
        return Spoken(f"hibari:{throat:.2f}:{change:.2f}", _to_int16(resample_poly(sound, 2, 3) * 32_000))


def _wav(data: bytes) -> np.ndarray:
    with wave.open(io.BytesIO(data)) as file:
        rate = file.getframerate()
        # The header of piped sound may claim more samples than there are.
        body = np.frombuffer(data[44 : 44 + len(data[44:]) // 2 * 2], "<i2").astype(np.float64)
    common = np.gcd(rate, RATE)
    return _to_int16(resample_poly(body, RATE // common, rate // common)) if rate != RATE else _to_int16(body)


def _to_int16(sound: np.ndarray) -> np.ndarray:
    peak = float(np.abs(sound).max()) if len(sound) else 0.0
    scale = min(1.0, 32_000 / peak) if peak else 1.0
    return np.round(sound * scale).astype(np.int16)
