"""Transcribes untranscribed talk with the original model: `python -m models.whisper.label MODEL`

The second recognizer is trained on it, so that it can still transcribe general talk. Recordings are cut at their
quietest points into segments of four to nine seconds. Writes `talk.jsonl`: path, begin, end (seconds), text.
"""

from __future__ import annotations

import argparse
import json
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import soundfile

from models.corpus import RECORDINGS, training_lists
from models.whisper.corpus import LABELS, LONGEST, rows
from models.whisper.transcriber import Transcriber

RATE = 16_000
FEWEST = 3
"""Least words in a segment. Without speech the original model outputs "you" or "Thank you."."""


def cuts(samples: np.ndarray) -> Iterator[tuple[int, int]]:
    """Start and end of each segment, in samples."""
    loud = np.convolve(samples.astype(np.float64) ** 2, np.ones(RATE // 5), "same")
    begin = 0
    while begin < len(samples) - RATE:
        least, most = begin + 4 * RATE, begin + 9 * RATE
        end = len(samples) if len(samples) <= most else least + int(np.argmin(loud[least:most]))
        yield begin, end
        begin = end


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("model", type=Path)
    args = parser.parse_args()
    transcriber, lists, out = Transcriber(args.model), training_lists(), []
    for row in rows():
        unwritten = row["category"] == "reading" and row["speaker"] in lists["speakers"]
        unwritten &= not row["text"] or row["duration"] > LONGEST
        if not unwritten and row["path"] not in lists["talk"]:
            continue
        samples, _ = soundfile.read(RECORDINGS / row["path"], dtype="int16")
        for begin, end in cuts(samples):
            heard = transcriber.encode(samples[begin:end], least=3000)
            text = transcriber.read(heard)[0].strip()
            if len(text.split()) < FEWEST:
                continue
            piece = {"path": row["path"], "begin": round(begin / RATE, 2), "end": round(end / RATE, 2)}
            out.append(json.dumps({**piece, "text": text}) + "\n")
            print(piece["path"], piece["begin"], text)
    LABELS.write_text("".join(out), encoding="utf-8")


if __name__ == "__main__":
    main()
