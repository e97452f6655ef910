"""Training clips of the second recognizer: people in `shared/speech` who are not held out, and model-labeled talk.

`python -m models.whisper.corpus --out work/recorded-0.zip` collects the recordings in one ZIP in the format of
`models.speak`, so that little has to be copied to the machine with the accelerator.
"""

from __future__ import annotations

import argparse
import io
import json
import zipfile
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import soundfile

from models.alignment import Aligner
from models.corpus import HERE, RECORDINGS, Clip, known, plain, training_lists
from models.pronounce import lexicon
from models.whisper.pieces import as_times

LABELS = HERE / "whisper" / "talk.jsonl"
"""Segments of recordings without transcript, transcribed by the original model; see `label`."""
LONGEST = 12.2
"""Longest clip in seconds. Slowed down, it still fits the longest window."""


def recorded() -> Iterator[Clip]:
    """All training recordings with transcripts, and the labeled talk."""
    speakers = set(training_lists()["speakers"])
    aligner = Aligner(HERE / "bench-en")
    for row in rows():
        if isinstance(row["speaker"], str) and row["speaker"] in speakers and row["text"]:
            samples, rate = soundfile.read(RECORDINGS / row["path"], dtype="int16")
            if len(samples) <= LONGEST * rate:
                yield timed(Clip(plain(row["text"]), row["speaker"], samples), aligner)
    if LABELS.exists():
        for line in LABELS.read_text(encoding="utf-8").splitlines():
            yield _piece(json.loads(line))


def timed(clip: Clip, aligner: Aligner) -> Clip:
    """The clip with word times for `pieces`, if all its words have pronunciations."""
    if not all(map(known, clip.words)):
        return clip
    spans = aligner.spans(clip.samples, clip.words, lexicon(clip.words))
    return replace(clip, times=as_times(clip.words, spans))


def rows() -> Iterator[dict[str, Any]]:
    """The manifest lines that are speech."""
    for line in (RECORDINGS / "manifest.jsonl").read_text(encoding="utf-8").splitlines():
        row = json.loads(line)
        if row["kind"] == "speech":
            yield row


def _piece(row: dict[str, Any]) -> Clip:
    samples, rate = soundfile.read(RECORDINGS / row["path"], dtype="int16")
    begin, end = (round(row[edge] * rate) for edge in ("begin", "end"))
    return Clip(plain(row["text"]), row["path"], samples[begin:end])


def save(path: Path, clips: Iterator[Clip]) -> float:
    """Write clips in the format of `models.speak`, without loss. Returns seconds of sound."""
    manifest, total = [], 0.0
    with zipfile.ZipFile(path, "w") as archive:
        for number, clip in enumerate(clips):
            name = f"{number:06d}.flac"
            held = io.BytesIO()
            soundfile.write(held, clip.samples.astype(np.int16), 16_000, format="FLAC")
            archive.writestr(name, held.getvalue())
            manifest.append({"file": name, "words": clip.words, "voice": clip.voice, "times": clip.times})
            total += len(clip.samples) / 16_000
        archive.writestr("manifest.jsonl", "".join(json.dumps(row) + "\n" for row in manifest))
    return total


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--out", type=Path, required=True)
    args = parser.parse_args()
    print(f"{save(args.out, recorded()) / 60:.1f} minutes")


if __name__ == "__main__":
    main()
