"""Stage 1: synthesize phrases. `python -m models.speak --engine espeak --count 500 --out speech/espeak.zip`

The result is a ZIP of Opus files with `manifest.jsonl` (file, words, voice). With `--seconds` it stops after that time
and keeps the clips made so far.
"""

from __future__ import annotations

import argparse
import io
import json
import time
import zipfile
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor, as_completed
from pathlib import Path
from random import Random
from typing import Any

import numpy as np
import soundfile

from models.voices import RATE, Engine, Espeak, Flite, Hibari, Kokoro, Line, Spoken

BATCH = 8
_engine: Engine | None = None


def lines(count: int, seed: int) -> list[Line]:
    """`count` lines to speak, reproducible by seed."""
    from models.phrases import phrases
    from models.pronounce import pronunciations

    rng = Random(seed)
    found = []
    for words in phrases(rng):
        # The most common pronunciation half of the time, else any.
        ways = [pronunciations(word) for word in words]
        said = tuple(one[0] if rng.random() < 0.5 else rng.choice(one) for one in ways)
        found.append(Line(words, said))
        if len(found) == count:
            return found
    return found


def save_lines(path: Path, many: list[Line]) -> None:
    """Write lines as JSON, to be spoken elsewhere."""
    path.write_text(
        "".join(json.dumps([one.words, one.said, one.pauses]) + "\n" for one in many), encoding="utf-8"
    )


def load_lines(path: Path) -> list[Line]:
    """Read lines written by `save_lines`."""
    rows = map(json.loads, path.read_text(encoding="utf-8").splitlines())
    return [Line(tuple(words), tuple(map(tuple, said)), tuple(pauses)) for words, said, pauses in rows]


def read_speech(path: Path, part: int = 0, parts: int = 1) -> Iterator[tuple[dict[str, Any], np.ndarray]]:
    """The clips of a ZIP from this stage with their manifest lines, or every `parts`-th one starting at `part`."""
    with zipfile.ZipFile(path) as archive:
        for line in archive.read("manifest.jsonl").decode().splitlines()[part::parts]:
            row = json.loads(line)
            sound, _ = soundfile.read(io.BytesIO(archive.read(row["file"])), dtype="int16")
            yield row, sound


def speak_all(
    many: list[Line], engine: str, folder: Path | None, out: Path, args: argparse.Namespace
) -> float:
    """Speak the lines on all processors into ZIPs of at most `args.shard` bytes. Returns hours of sound."""
    begin, total, size, shard = time.monotonic(), 0, 0, 0
    archive = zipfile.ZipFile(_shard(out, 0), "w")
    rows: list[dict[str, Any]] = []
    with ProcessPoolExecutor(
        args.processes, initializer=_start, initargs=(engine, folder, args.voices)
    ) as pool:
        jobs = [
            pool.submit(_speak, many[at : at + BATCH], args.seed * 1_000_003 + at, begin + args.seconds)
            for at in range(0, len(many), BATCH)
        ]
        for job in as_completed(jobs):
            for line, spoken, data in job.result():
                if size + len(data) > args.shard:
                    _close(archive, rows)
                    shard, size, rows = shard + 1, 0, []
                    archive = zipfile.ZipFile(_shard(out, shard), "w")
                name = f"{engine}-{len(rows):06d}.ogg"
                archive.writestr(name, data)
                rows.append({"file": name, "words": line.words, "voice": spoken.voice, "times": spoken.times})
                size += len(data) + 200
                total += len(spoken.samples)
    _close(archive, rows)
    return total / RATE / 3600


def _shard(out: Path, number: int) -> Path:
    return out.with_name(f"{out.stem}-{number}.zip")


def _close(archive: zipfile.ZipFile, rows: list[dict[str, Any]]) -> None:
    archive.writestr("manifest.jsonl", "".join(json.dumps(row) + "\n" for row in rows))
    archive.close()


def _start(engine: str, folder: Path | None, voices: list[str] | None) -> None:
    global _engine
    if engine == "kokoro":
        assert folder is not None
        _engine = Kokoro(folder, voices)
    else:
        engines: dict[str, Callable[[], Engine]] = {"espeak": Espeak, "flite": Flite, "hibari": Hibari}
        _engine = engines[engine]()


def _speak(many: list[Line], seed: int, until: float) -> list[tuple[Line, Spoken, bytes]]:
    assert _engine is not None
    rng, out = Random(seed), []
    for line in many:
        if time.monotonic() > until:
            break
        spoken = _engine.speak(line, rng)
        if len(spoken.samples) < RATE // 5:
            continue
        held = io.BytesIO()
        soundfile.write(held, spoken.samples, RATE, format="OGG", subtype="OPUS")
        out.append((line, spoken, held.getvalue()))
    return out


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--engine", choices=("espeak", "flite", "hibari", "kokoro"), required=True)
    parser.add_argument("--count", type=int, default=500)
    parser.add_argument("--lines", type=Path, help="lines to speak, written by save_lines")
    parser.add_argument("--folder", type=Path, help="Kokoro's files: kokoro.onnx, vocab.json, voices/*.bin")
    parser.add_argument("--voices", nargs="*", help="only these Kokoro voices")
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--seconds", type=float, default=1e9, help="stop after this long")
    parser.add_argument("--shard", type=int, default=10**9, help="maximum bytes per ZIP")
    parser.add_argument("--processes", type=int, default=None)
    args = parser.parse_args()
    many = load_lines(args.lines) if args.lines else lines(args.count, args.seed)
    hours = speak_all(many, args.engine, args.folder, args.out, args)
    print(f"{args.engine}: {hours:.2f} h")


if __name__ == "__main__":
    main()
