"""Log mel spectrum as Whisper models take it (Radford et al. 2022, section 2.2): 80 bands, 25 ms every 10 ms."""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from bench.audio.samples import RATE, Samples

Floats = NDArray[np.float32]

BANDS = 80
HOP = 160
"""Samples from one frame to the next: 10 ms."""
_WINDOW = 400
_FLOOR = 1e-10
_RANGE = 8.0
"""Powers of ten below the loudest value that are kept."""


def log_mel(sound: Samples) -> Floats:
    """The spectrum of the sound, a row for every 10 ms of it."""
    padded = np.pad(sound.astype(np.float32) / 32_768, _WINDOW // 2, mode="reflect")
    frames = np.lib.stride_tricks.sliding_window_view(padded, _WINDOW)[::HOP][: len(sound) // HOP]
    window = np.hanning(_WINDOW + 1)[:-1].astype(np.float32)
    power = np.abs(np.fft.rfft(frames * window, axis=1)).astype(np.float32) ** 2
    mel = np.log10(np.maximum(power @ _filters().T, _FLOOR))
    scaled: Floats = ((np.maximum(mel, mel.max() - _RANGE) + 4) / 4).astype(np.float32)
    return scaled


@cache
def _filters() -> Floats:
    """Triangles evenly spaced on Slaney's mel scale (Auditory Toolbox, 1998), each of the same area."""
    edges = _hertz(np.linspace(0.0, _mel(RATE / 2), BANDS + 2))
    ramps = edges[:, None] - np.fft.rfftfreq(_WINDOW, 1 / RATE)[None]
    widths = np.diff(edges)
    rising, falling = -ramps[:-2] / widths[:-1, None], ramps[2:] / widths[1:, None]
    triangles = np.maximum(0, np.minimum(rising, falling))
    filters: Floats = (triangles * (2 / (edges[2:] - edges[:-2]))[:, None]).astype(np.float32)
    return filters


def _mel(hertz: float) -> float:
    """Linear to 1000 Hz (15 mel), logarithmic above."""
    return 15 + float(np.log(hertz / 1000)) * 27 / float(np.log(6.4)) if hertz >= 1000 else 3 * hertz / 200


def _hertz(mel: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.where(mel >= 15, 1000 * np.exp((mel - 15) * np.log(6.4) / 27), 200 * mel / 3)
