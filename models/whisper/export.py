"""Writes Bench's model directory: `python -m models.whisper.export --weights BIN --trained FOLDER... --out DIR`

It contains `model.bin` in int8, `tokenizer.json`, `vocabulary.txt` and `config.json` in CTranslate2's format, the
license notice, and `bench.toml` with the SHA-256 of each. Other settings are kept; confidence curves must be fitted
again. The weights are interpolated between the original and the trained ones, which recognizes held-out people better
than either (Wortsman et al. 2022). Several trainings are averaged (model soup, same source).
"""

from __future__ import annotations

import argparse
import hashlib
import shutil
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from models.whisper.weights import Arrays, as_float, as_int8, read, restored, write

FILES = ("config.json", "tokenizer.json", "vocabulary.txt")
SETTINGS = "bench.toml"


SHARE = 0.7
"""Interpolation from the original to the trained weights. Measured from 0.3 to 1; 0.6 to 0.8 differ little."""


def between(untouched: Arrays, trained: Arrays, share: float) -> Arrays:
    """Interpolate between the original arrays (`share` 0) and the trained ones (`share` 1)."""
    return {name: (1 - share) * untouched[name] + share * array for name, array in trained.items()}


def mean(folders: Sequence[Path]) -> Arrays:
    """The mean arrays of several trainings."""
    every = [restored(folder) for folder in folders]
    return {name: np.mean([arrays[name] for arrays in every], axis=0) for name in every[0]}


def export(weights: Path, trained: Sequence[Path], out: Path, share: float = SHARE) -> None:
    """Write everything except the notice, which is unchanged. Other files are copied from the folder of `weights`."""
    out.mkdir(parents=True, exist_ok=True)
    untouched = read(weights)
    write(out / "model.bin", as_int8(untouched, between(as_float(untouched), mean(trained), share)))
    for name in FILES:
        if weights.parent != out:
            shutil.copyfile(weights.parent / name, out / name)
    hash_files(out)


def hash_files(folder: Path) -> None:
    """Rewrite the `[files]` table of the settings."""
    path = folder / SETTINGS
    whole = path.read_text(encoding="utf-8") if path.exists() else 'name = "second"\n\n[files]\n'
    before, _, after = whole.partition("[files]\n")
    kept = after[after.index("\n[") :] if "\n[" in after else ""
    files = sorted(file for file in folder.iterdir() if file.name != SETTINGS)
    rows = [f'"{file.name}" = "{hashlib.sha256(file.read_bytes()).hexdigest()}"\n' for file in files]
    path.write_text(f"{before}[files]\n{''.join(rows)}{kept}", encoding="utf-8")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--weights", type=Path, required=True, help="model.bin of the original model")
    parser.add_argument(
        "--trained",
        type=Path,
        required=True,
        nargs="+",
        help="output folders of models.whisper.train",
    )
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--share", type=float, default=SHARE)
    args = parser.parse_args()
    export(args.weights, args.trained, args.out, args.share)


if __name__ == "__main__":
    main()
