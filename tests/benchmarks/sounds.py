"""Speech, noise and their mixtures for the benchmarks of the ears."""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path

import numpy as np
import soxr
from numpy.typing import NDArray

from bench.audio.samples import RATE, Samples
from tests.audio_rig import synthetic_voice
from tests.ears.corpus import Entry, entries, sound

ROOT = Path(__file__).parents[2]
CLEAN = None
LEVELS: tuple[float | None, ...] = (CLEAN, 15.0, 6.0)
"""Signal-to-noise ratios in decibels; None is the recording as it is."""
_TOOLS = ("music", "applause", "typing")


@cache
def noises() -> tuple[Samples, ...]:
    """Noises of a building site and a shop that were not trained on: no music, applause or typing."""
    trained = training()["noises"]
    found = entries(lambda entry: entry["kind"] == "noise" and entry["category"] not in _TOOLS)
    return tuple(sound(entry) for entry in found if entry["file"].stem not in trained)


def people(source: str, share_alike: bool = False) -> list[Entry]:
    """Transcribed speech of one source, by speakers no model was trained on."""
    trained = training()["speakers"]
    return list(
        entries(
            lambda one: one["source"] == source and bool(one["text"]) and one["speaker"] not in trained,
            share_alike,
        )
    )


@cache
def training() -> dict[str, list[str]]:
    """Speakers and noises in `shared/speech` that the shipped models were trained on."""
    listed: dict[str, list[str]] = tomllib.loads(
        (ROOT / "models" / "heldout.toml").read_text(encoding="utf-8")
    )["training"]
    return listed


def with_noise(speech: Samples, snr: float | None, seed: int) -> Samples:
    """Speech, a second of noise around it included, at a signal-to-noise ratio measured over the speech."""
    if snr is None:
        return speech
    rng = np.random.default_rng(seed)
    noise = noises()[int(rng.integers(len(noises())))].astype(np.float64)
    edge = RATE // 2
    whole = np.concatenate([np.zeros(edge), speech.astype(np.float64), np.zeros(edge)])
    start = int(rng.integers(len(noise)))
    looped = np.resize(np.roll(noise, -start), len(whole))
    scale = _loudness(speech.astype(np.float64)) / max(_rms(looped), 1.0) / 10 ** (snr / 20)
    return _as_samples(whole + looped * scale)


def synthetic(words: str, voice: str) -> Samples:
    """Words by a synthetic voice at 16 kHz."""
    samples, rate = synthetic_voice(words, voice)
    return _as_samples(soxr.resample(samples.astype(np.float64), rate, RATE))


def resident_megabytes() -> float:
    """Memory this process holds now (Linux)."""
    pages = int(Path("/proc/self/statm").read_text().split()[1])
    return pages * 4096 / 1e6


def _loudness(speech: NDArray[np.float64]) -> float:
    """RMS of the louder half of 20 ms frames: the speech without its pauses."""
    frames = speech[: len(speech) // 320 * 320].reshape(-1, 320)
    power = np.sort((frames**2).mean(axis=1))
    return float(np.sqrt(power[len(power) // 2 :].mean()))


def _rms(samples: NDArray[np.float64]) -> float:
    return float(np.sqrt((samples**2).mean()))


def _as_samples(samples: NDArray[np.float64]) -> Samples:
    clipped: Samples = np.clip(np.round(samples), -32_768, 32_767).astype(np.int16)
    return clipped
