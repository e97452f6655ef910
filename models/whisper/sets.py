"""Test sets of held-out people, voices and noises.

`python -m models.whisper.sets --out work/held-out.zip` packs a part of them for validation during training.
"""

from __future__ import annotations

import argparse
import json
from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import soundfile

from bench.language.numbers import ONES, TEENS, TENS
from models.corpus import RECORDINGS, Clip, plain, training_lists
from models.speak import read_speech
from models.whisper.corpus import save

DIGITS = ("zero", *ONES)
COMMANDS = ("yes", "no", "up", "down", "left", "right", "on", "off", "stop", "go", "forward", "backward")
NUMBER_WORDS = frozenset((*DIGITS, "oh", *TEENS, *TENS, "hundred", "thousand"))
SHORT = ("yes", "no", "go", "start", "stop", "help", "repeat", "enter", "erase")
OTHER_NOISES = ("music", "applause", "typing")
LEVELS = (None, 15.0, 6.0, 0.0)
"""Signal-to-noise ratios in decibels. None is the clean recording."""


@cache
def held_out() -> tuple[tuple[str, Clip], ...]:
    """All held-out clips with transcripts, each with the name of its source."""
    speakers, found = set(training_lists()["speakers"]), []
    for folder in (RECORDINGS, RECORDINGS / "share-alike"):
        for line in (folder / "manifest.jsonl").read_text(encoding="utf-8").splitlines():
            row = json.loads(line)
            if row["kind"] == "speech" and row["text"] and str(row["speaker"]) not in speakers:
                samples, _ = soundfile.read(folder / row["path"], dtype="int16")
                found.append((row["source"], Clip(plain(row["text"]), str(row["speaker"]), samples)))
    return tuple(found)


def of(source: str) -> list[Clip]:
    """Held-out clips of one source."""
    return [clip for name, clip in held_out() if name == source]


def digits(source: str) -> list[Clip]:
    """Isolated digits."""
    return [clip for clip in of(source) if len(clip.words) == 1 and clip.words[0] in DIGITS]


def commands() -> list[Clip]:
    """Command words of Speech Commands."""
    return [clip for clip in of("speech-commands") if clip.words[0] in COMMANDS]


def short_words() -> list[Clip]:
    """Command words of AN4."""
    return [clip for clip in of("an4") if len(clip.words) == 1 and clip.words[0] in SHORT]


def connected() -> list[Clip]:
    """Connected numbers of AN4, only number words."""
    return [clip for clip in of("an4") if set(clip.words) <= NUMBER_WORDS]


def long_numbers() -> list[Clip]:
    """Strings of eight to eleven digits, mostly by non-native speakers."""
    return of("alphanumeric-audio-dataset")


def lengths() -> list[Clip]:
    """Lengths by held-out synthetic voices."""
    path = RECORDINGS / "voices" / "held-out.zip"
    return [Clip(tuple(row["words"]), row["voice"], samples) for row, samples in read_speech(path)]


@cache
def noises() -> tuple[np.ndarray, ...]:
    """Held-out noises of tools, machines and streets: no music, applause or typing."""
    trained, found = set(training_lists()["noises"]), []
    for line in (RECORDINGS / "manifest.jsonl").read_text(encoding="utf-8").splitlines():
        row = json.loads(line)
        path = RECORDINGS / row["path"]
        if (
            row["kind"] == "noise"
            and path.stem not in trained
            and row["category"] not in ("music", "applause", "typing")
        ):
            found.append(soundfile.read(path, dtype="int16")[0].astype(np.float64))
    return tuple(found)


def noisy(clips: Sequence[Clip], level: float | None) -> list[Clip]:
    """The clips in different noises, padded by half a second. The SNR refers to the louder half of the speech."""
    out = []
    for number, clip in enumerate(clips):
        rng = np.random.default_rng(number)
        speech = clip.samples.astype(np.float64)
        whole = np.concatenate([np.zeros(6_400), speech, np.zeros(8_000)])
        if level is None:
            mixed = whole + 4 * rng.standard_normal(len(whole))
        else:
            noise = noises()[int(rng.integers(len(noises())))]
            noise = np.resize(np.roll(noise, -int(rng.integers(len(noise)))), len(whole))
            mixed = whole + noise * _loud(speech) / (noise.std() + 1e-9) * 10 ** (-level / 20)
        mixed *= min(1, 32_000 / np.abs(mixed).max())
        out.append(replace(clip, samples=np.round(mixed).astype(np.int16)))
    return out


def _loud(speech: np.ndarray) -> float:
    frames = speech[: len(speech) // 320 * 320].reshape(-1, 320)
    power = np.sort((frames**2).mean(1))
    return float(np.sqrt(power[len(power) // 2 :].mean()))


def while_training() -> Iterator[Clip]:
    """A part of the sets. The voice of each clip is the name of its set."""
    sets = {
        "digits": digits("speech-commands")[::2],
        "commands": commands()[::2],
        "connected": connected()[::2],
        "long numbers": long_numbers()[::2],
        "lengths": lengths()[::4],
    }
    for name, clips in sets.items():
        yield from (replace(clip, voice=name) for clip in clips)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--out", type=Path, required=True)
    args = parser.parse_args()
    print(f"{save(args.out, while_training()) / 60:.1f} minutes")


if __name__ == "__main__":
    main()
