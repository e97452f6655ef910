"""Simulated rooms: impulse responses of boxes by the image method (Allen and Berkley 1979)."""

from __future__ import annotations

import numpy as np

RATE, LENGTH = 16_000, 8_000
SOUND = 343.0
"""Speed of sound in air at 20 degrees Celsius, in meters per second."""


def rooms(count: int, seed: int) -> np.ndarray:
    """Impulse responses [count, LENGTH] of rooms from a closet to a shop hall, at 0.3 to 4 m, direct sound first."""
    rng = np.random.default_rng(seed)
    return np.stack([_room(rng) for _ in range(count)])


def _room(rng: np.random.Generator) -> np.ndarray:
    size = np.array([rng.uniform(2.5, 14), rng.uniform(2.5, 10), rng.uniform(2.3, 5)])
    talker = rng.uniform(0.15, 0.85, 3) * size
    direction = rng.normal(size=3)
    away = 0.3 * (4 / 0.3) ** rng.random()
    microphone = np.clip(talker + away * direction / np.linalg.norm(direction), 0.1, size - 0.1)
    reflection = rng.uniform(0.5, 0.93)
    order = 10
    grid = np.arange(-order, order + 1)
    response = np.zeros(LENGTH)
    for flip in np.ndindex(2, 2, 2):
        axes = []
        for axis in range(3):
            place = 2 * grid * size[axis] + (-1) ** flip[axis] * talker[axis] - microphone[axis]
            bounces = np.abs(grid - flip[axis]) + np.abs(grid)
            axes.append((place**2, bounces))
        squared = axes[0][0][:, None, None] + axes[1][0][None, :, None] + axes[2][0][None, None, :]
        bounces = axes[0][1][:, None, None] + axes[1][1][None, :, None] + axes[2][1][None, None, :]
        distance = np.sqrt(squared).ravel()
        at = np.round(distance / SOUND * RATE).astype(int)
        keep = at < LENGTH
        # Rough walls scatter sound. Inverting every other reflection keeps the tail from ringing.
        sign = np.where(rng.random(keep.sum()) < 0.5, 1, -1) * 1.0
        sign[bounces.ravel()[keep] == 0] = 1
        np.add.at(response, at[keep], sign * reflection ** bounces.ravel()[keep] / distance[keep])
    first = int(np.flatnonzero(response)[0])
    response = np.concatenate([response[first:], np.zeros(first)])
    scaled: np.ndarray = response / np.abs(response[:40]).max()
    return scaled
