"""Training clips in memory: transcript, speaker, and sound."""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import soundfile

from bench.language.tidy import tidy
from models.pronounce import pronunciations
from models.speak import read_speech

HERE = Path(__file__).parent
RECORDINGS = HERE.parent / "shared" / "speech"


@dataclass(frozen=True)
class Clip:
    """One clip: 16 kHz int16 samples. `times`, where known, are (unit, end in seconds)."""

    words: tuple[str, ...]
    voice: str
    samples: np.ndarray
    times: tuple[tuple[str, float], ...] = ()


def synthetic(folder: Path) -> list[Clip]:
    """All clips of the ZIPs in a folder, read on all processors."""
    parts = 16
    work = [(path, part, parts) for path in sorted(folder.glob("*.zip")) for part in range(parts)]
    with ProcessPoolExecutor() as pool:
        return [clip for clips in pool.map(_read, *zip(*work, strict=True)) for clip in clips]


def _read(path: Path, part: int, parts: int) -> list[Clip]:
    return [
        Clip(
            tuple(row["words"]),
            row["voice"],
            samples,
            tuple((unit, float(end)) for unit, end in row.get("times", ())),
        )
        for row, samples in read_speech(path, part, parts)
    ]


def training_lists() -> dict[str, list[str]]:
    """Speakers and noises allowed in training."""
    held_out = tomllib.loads((HERE / "heldout.toml").read_text(encoding="utf-8"))
    lists: dict[str, list[str]] = held_out["training"]
    return lists


def plain(text: str) -> tuple[str, ...]:
    """The words of a text, without digits, punctuation or capitals."""
    return tidy(re.sub(r'[^\w\s\'.,:/$%-]|"', " ", text).lower().split(), {})


def recorded() -> Iterator[Clip]:
    """Recorded people who are not held out, with a suitable license and known pronunciations of all words."""
    speakers = set(training_lists()["speakers"])
    for line in (RECORDINGS / "manifest.jsonl").read_text(encoding="utf-8").splitlines():
        row = json.loads(line)
        if isinstance(row["speaker"], str) and row["speaker"] in speakers and row["text"]:
            words = plain(row["text"])
            if all(map(known, words)):
                samples, _ = soundfile.read(RECORDINGS / row["path"], dtype="int16")
                yield Clip(words, row["speaker"], samples)


def known(word: str) -> bool:
    """Whether a word has a pronunciation."""
    try:
        return bool(pronunciations(word))
    except KeyError:
        return False


def noises() -> list[np.ndarray]:
    """Noises allowed in training, each at least a second long."""
    found = []
    for name in training_lists()["noises"]:
        samples, _ = soundfile.read(RECORDINGS / "noise" / f"{name}.flac", dtype="int16")
        found.append(samples.astype(np.float32))
    return found
