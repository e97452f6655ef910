"""Augments clean training speech to what a microphone in a shop records. Runs on the accelerator for every batch.

It varies pitch and vocal tract length, room and distance, frequency response, vocal effort, noise, other talkers,
level, clipping, and narrow-band devices.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import torch
from torch import Tensor

from models import features
from models.rooms import rooms

RATE = features.RATE
WARPS = np.linspace(0.86, 1.16, 16)
_MU = 255


@dataclass(frozen=True)
class Sound:
    """A batch: samples [batch, length] in int16 scale, where the speech begins, and its speed factor.

    `clean` is the speech alone at the same position, before room, noise and microphone.
    """

    samples: Tensor
    begin: Tensor
    speed: Tensor
    warp: Tensor
    clean: Tensor


class Shop:
    """Adds rooms, frequency responses and noise. All randomness comes from `seed`.

    `ratio` is the range of signal-to-noise ratios, in decibels, of the noisy clips (seven tenths of all).
    """

    def __init__(
        self,
        noises: list[np.ndarray],
        device: torch.device,
        seed: int,
        room_count: int = 200,
        ratio: tuple[float, float] = (2, 30),
    ) -> None:
        self._ratio = ratio
        self._device = device
        self._random = torch.Generator(device).manual_seed(seed)
        self._rooms = torch.tensor(rooms(room_count, seed), dtype=torch.float32, device=device)
        self._noises = torch.tensor(np.concatenate([[], *noises]), dtype=torch.float32, device=device)
        self._sizes = torch.tensor([len(noise) for noise in noises], dtype=torch.long, device=device)
        self._begins = self._sizes.cumsum(0) - self._sizes

    def hear(self, clips: Tensor, lengths: Tensor, length: int) -> Sound:
        """Clips [batch, longest], each `lengths` long, placed in `length` samples and corrupted."""
        count = len(clips)
        speed = self._between(count, 0.86, 1.16)
        clean, begin = self._placed(clips, lengths, speed, length)
        loud = self._loudness(clean)
        heard = self._colored(clean, rooms=True)
        heard = heard * (loud / self._loudness(heard))[:, None]
        heard = heard + self._noise(count, length, loud)
        heard = heard + self._babble(clean, loud)
        heard = self._microphone(heard)
        warp = torch.randint(len(WARPS), (count,), generator=self._random, device=self._device)
        warp = torch.where(self._chance(count, 0.6), warp, len(WARPS) // 2)
        return Sound(heard, begin, speed, warp, clean)

    def _placed(self, clips: Tensor, lengths: Tensor, speed: Tensor, length: int) -> tuple[Tensor, Tensor]:
        """Resampled by cubic interpolation, with silence before and after."""
        spare = (length - lengths / speed).clamp(min=0)
        begin = spare * self._between(len(clips), 0.05, 0.6)
        at = (torch.arange(length, device=self._device)[None] - begin[:, None]) * speed[:, None]
        inside = (at >= 0) & (at < lengths[:, None] - 1)
        whole = at.floor()
        part = at - whole
        whole = whole.long().clamp(0, clips.shape[1] - 1)

        def near(by: int) -> Tensor:
            return clips.gather(1, (whole + by).clamp(0, clips.shape[1] - 1)).float()

        before, left, right, after = near(-1), near(0), near(1), near(2)
        bent = 2 * before - 5 * left + 4 * right - after + part * (3 * (left - right) + after - before)
        cubic = left + 0.5 * part * (right - before + part * bent)
        return torch.where(inside, cubic, torch.zeros_like(cubic)), begin

    def _colored(self, clean: Tensor, rooms: bool) -> Tensor:
        """Apply a room and a frequency response as one filter."""
        count, length = clean.shape
        size = 2 ** math.ceil(math.log2(length + self._rooms.shape[1]))
        spectrum = torch.fft.rfft(clean, size)
        if rooms:
            chosen = self._rooms[
                torch.randint(len(self._rooms), (count,), generator=self._random, device=self._device)
            ]
            flat = torch.zeros_like(chosen)
            flat[:, 0] = 1
            wet = self._between(count, 0.2, 1.0)[:, None]
            chosen = torch.where(self._chance(count, 0.55)[:, None], flat + wet * (chosen - flat), flat)
            spectrum = spectrum * torch.fft.rfft(chosen, size)
        spectrum = spectrum * self._response(count, spectrum.shape[1])
        return torch.fft.irfft(spectrum, size)[:, :length]

    def _response(self, count: int, bins: int) -> Tensor:
        """A random frequency response: peaks, a spectral tilt (raised voice or muffled sound), and band limits."""
        hertz = torch.linspace(0, RATE / 2, bins, device=self._device)
        octave = torch.log2(hertz.clamp(min=60) / 1000)
        bumps = (
            torch.randn(count, 10, generator=self._random, device=self._device)
            * self._between(count, 0, 5)[:, None]
        )
        decibels = torch.nn.functional.interpolate(bumps[:, None], bins, mode="linear", align_corners=True)[
            :, 0
        ]
        tilt = torch.where(self._chance(count, 0.5), self._between(count, -4, 6), 0.0)
        decibels = decibels + tilt[:, None] * octave[None]
        low = torch.where(self._chance(count, 0.5), self._between(count, 60, 400), 20.0)
        high = torch.where(self._chance(count, 0.4), self._between(count, 3300, 7000), 20_000.0)
        gain = 10 ** (decibels / 20)
        gain = gain / (1 + (low[:, None] / hertz.clamp(min=1)[None]) ** 4).sqrt()
        return gain / (1 + (hertz[None] / high[:, None]) ** 24).sqrt()

    def _noise(self, count: int, length: int, loud: Tensor) -> Tensor:
        """Recorded shop noise or random colored noise, sometimes with mains hum."""
        noise = torch.randn(count, length, generator=self._random, device=self._device)
        noise = torch.fft.irfft(torch.fft.rfft(noise) * self._slope(count, length // 2 + 1), length)
        if len(self._noises):
            recorded = self._chance(count, 0.55)[:, None]
            noise = torch.where(recorded, self._recorded_noise(count, length), noise)
        hum = self._between(count, 45, 130)[:, None] * torch.arange(length, device=self._device) / RATE
        harmonics = sum(torch.sin(2 * math.pi * hum * order) / order for order in (1, 2, 3, 5))
        noise = noise / self._loudness(noise)[:, None]
        noise = (
            noise
            + torch.where(self._chance(count, 0.1), self._between(count, 0, 1), 0.0)[:, None] * harmonics
        )
        ratio = torch.where(
            self._chance(count, 0.7), self._between(count, *self._ratio), self._between(count, 30, 60)
        )
        return noise * (loud * 10 ** (-ratio / 20))[:, None]

    def _slope(self, count: int, bins: int) -> Tensor:
        hertz = torch.arange(1, bins + 1, device=self._device) / bins
        return hertz[None] ** (-self._between(count, 0, 1.2)[:, None])

    def _recorded_noise(self, count: int, length: int) -> Tensor:
        """A recorded noise for each clip, from a random position, looped."""
        pick = torch.randint(len(self._sizes), (count,), generator=self._random, device=self._device)
        sizes = self._sizes[pick]
        start = (self._between(count, 0, 1) * sizes).long()
        at = (start[:, None] + torch.arange(length, device=self._device)[None]) % sizes[:, None]
        return self._noises[self._begins[pick][:, None] + at]

    def _babble(self, clean: Tensor, loud: Tensor) -> Tensor:
        """Other talkers, much softer than the target speaker."""
        others = clean.roll(1, 0) + clean.roll(2, 0) + clean.roll(3, 0)
        others = others.roll(
            int(torch.randint(clean.shape[1], (1,), generator=self._random, device=self._device)), 1
        )
        others = others / self._loudness(others)[:, None]
        ratio = self._between(len(clean), 12, 30)
        share = torch.where(self._chance(len(clean), 0.12), loud * 10 ** (-ratio / 20), 0.0)
        return others * share[:, None]

    def _microphone(self, heard: Tensor) -> Tensor:
        """Apply level, clipping, self-noise, occasional 8-bit mu-law coding, and rounding to integers."""
        count, length = heard.shape
        peak = heard.abs().amax(1, keepdim=True) + 1e-6
        level = torch.where(
            self._chance(count, 0.06), self._between(count, 0, 12), self._between(count, -36, -1)
        )
        heard = (heard / peak * 32767 * 10 ** (level[:, None] / 20)).clamp(-32768, 32767)
        hiss = torch.where(self._chance(count, 0.85), self._between(count, 0.3, 6), 0.0)
        heard = heard + hiss[:, None] * torch.randn(
            count, length, generator=self._random, device=self._device
        )
        heard = torch.where(self._chance(count, 0.2)[:, None], _in_eight_bits(heard), heard)
        return heard.round().clamp(-32768, 32767)

    @staticmethod
    def _loudness(sound: Tensor) -> Tensor:
        """RMS over the louder parts, so that silence around a word does not count."""
        frames = sound[:, : sound.shape[1] // 400 * 400].reshape(len(sound), -1, 400).square().mean(2)
        return frames.topk(max(1, frames.shape[1] // 5), 1).values.mean(1).sqrt() + 1e-3

    def _between(self, count: int, low: float, high: float) -> Tensor:
        return low + (high - low) * torch.rand(count, generator=self._random, device=self._device)

    def _chance(self, count: int, share: float) -> Tensor:
        return torch.rand(count, generator=self._random, device=self._device) < share


def _in_eight_bits(heard: Tensor) -> Tensor:
    """The sound after a telephone line or a headset's voice link: mu-law, ITU-T G.711, in its continuous form."""
    level = (heard / 32768).clamp(-1, 1)
    coded = (torch.log1p(_MU * level.abs()) / math.log1p(_MU) * 127).round() / 127
    return level.sign() * torch.expm1(coded * math.log1p(_MU)) / _MU * 32768


class Mfcc:
    """`features.mfcc` for batches, with a vocal tract length for each clip (an index into WARPS)."""

    def __init__(self, device: torch.device) -> None:
        def put(table: np.ndarray) -> Tensor:
            return torch.tensor(table, dtype=torch.float32, device=device)

        self._window, self._cosines = put(features.window()), put(features.cosines())
        self._banks = put(np.stack([features.mel_bank(float(warp)) for warp in WARPS]))
        self._plain = put(features.mel_bank())

    def __call__(self, samples: Tensor, warp: Tensor | None = None) -> Tensor:
        frames = samples.unfold(1, features.FRAME, features.STEP)
        frames = frames - frames.mean(2, keepdim=True)
        before = torch.cat([frames[..., :1], frames[..., :-1]], 2)
        frames = (frames - features.PRE_EMPHASIS * before) * self._window
        power = torch.fft.rfft(frames, features.FFT).abs().square()
        bank = self._plain[None] if warp is None else self._banks[warp]
        return torch.log((power @ bank).clamp(min=features.FLOOR)) @ self._cosines
