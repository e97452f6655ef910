"""Stage 3: write the Vosk directory. `python -m models.export --network network.pt --out models/bench-en`

Without `--network` the acoustic model in `--out` stays, and only the words are recompiled.
"""

from __future__ import annotations

import argparse
import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np

from bench.ears.model_directory import model_directory
from models.features import CONF
from models.graph import SOUNDS, Costs, write_graph
from models.kaldi import Affine, Component, affines, final_mdl
from models.units import KALDI_NUMBER, NOISE, SILENCE

Curve = tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class Tuning:
    """Settings of the shipped directory. bench/ears/model_directory.py describes `bench.toml`.

    The confidence curves are those printed by `python -m tests.benchmarks.confidence`. Existing curves of a directory
    are kept when only its words are recompiled.
    """

    acoustic_scale: float = 1.0
    word_cost: float = 2.0
    filler_cost: float = 7.0
    alternatives: int = 6
    confidence_scale: float = 0.3
    confidence_points: Curve = (
        (0.0, 0.0),
        (0.241, 0.373),
        (0.333, 0.6111),
        (0.415, 0.8016),
        (0.47, 0.881),
        (0.522, 0.9603),
        (0.609, 0.9839),
        (0.746, 0.9919),
    )
    confidence_fit: Curve = (
        (-14.858, 0.0105),
        (-9.144, 0.0239),
        (-5.688, 0.1442),
        (-3.418, 0.6347),
        (-1.774, 0.902),
        (-0.702, 0.9944),
    )
    sound_cost: float = 1.0
    background_filler_cost: float = -1.0
    graph: Costs = field(default_factory=Costs)


def write_model(
    out: Path, parts: Sequence[Component], prons: Mapping[str, Sequence[tuple[str, ...]]], tuning: Tuning
) -> None:
    """Write a complete model directory."""
    for folder in ("am", "conf", "graph"):
        (out / folder).mkdir(parents=True, exist_ok=True)
    (out / "am" / "final.mdl").write_bytes(final_mdl(parts))
    (out / "conf" / "mfcc.conf").write_text(CONF, encoding="utf-8")
    (out / "conf" / "model.conf").write_text(_conf(tuning), encoding="utf-8")
    write_graph(out / "graph", prons, tuning.graph)
    write_settings(out, tuning)


def write_words(out: Path, prons: Mapping[str, Sequence[tuple[str, ...]]], tuning: Tuning) -> None:
    """Recompile the words of a model directory. Its acoustic model is unchanged."""
    write_graph(out / "graph", prons, tuning.graph)
    write_settings(out, tuning)


def with_curves_of(out: Path) -> Tuning:
    """The tuning with the confidence curves of a model directory, which are fitted after the model is built."""
    curves = model_directory(out).settings.confidence
    return replace(Tuning(), confidence_points=tuple(curves.points), confidence_fit=tuple(curves.fit))


def write_settings(out: Path, tuning: Tuning) -> None:
    """Write `bench.toml` with the digest of every other file."""
    names = sorted(path for path in out.rglob("*") if path.is_file() and path.name != "bench.toml")
    digests = [f'"{path.relative_to(out).as_posix()}" = "{_digest(path)}"' for path in names]
    sounds = ", ".join(f'"{sound}"' for sound in SOUNDS)
    text = f"""name = "{out.name}"

[decoding]
word_cost = {tuning.word_cost:g}
filler_cost = {tuning.filler_cost:g}
filler = "[unk]"
alternatives = {tuning.alternatives}

[confidence]
scale = {tuning.confidence_scale:g}
points = {_curve(tuning.confidence_points)}
fit = {_curve(tuning.confidence_fit)}

[background]
sounds = [{sounds}]
sound_cost = {tuning.sound_cost:g}
filler_cost = {tuning.background_filler_cost:g}

[files]
"""
    (out / "bench.toml").write_text(text + "\n".join(digests) + "\n", encoding="utf-8")


def between(
    parts: Sequence[Component], before: Mapping[str, tuple[np.ndarray, np.ndarray]], share: float
) -> list[Component]:
    """Interpolate between the initial and the trained weights; `share` 1 gives the trained ones."""

    def moved(one: Affine) -> Affine:
        weights, bias = before[one.name]
        return replace(
            one,
            weights=(1 - share) * weights + share * one.weights,
            bias=(1 - share) * bias + share * one.bias,
        )

    return [moved(one) if isinstance(one, Affine) else one for one in parts]


def _conf(tuning: Tuning) -> str:
    silence = f"{KALDI_NUMBER[SILENCE]}:{KALDI_NUMBER[NOISE]}"
    return f"""--min-active=200
--max-active=1000
--beam=10
--lattice-beam=8
--acoustic-scale={tuning.acoustic_scale:g}
--frame-subsampling-factor=3
--endpoint.silence-phones={silence}
--endpoint.rule2.min-trailing-silence=0.5
--endpoint.rule3.min-trailing-silence=0.8
--endpoint.rule4.min-trailing-silence=1.5
"""


def _curve(points: Sequence[tuple[float, float]]) -> str:
    return "[" + ", ".join(f"[{at:.3f}, {chance:.4f}]" for at, chance in points) + "]"


def _digest(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()


def main() -> None:
    from models.phrases import vocabulary
    from models.pronounce import lexicon

    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--network", type=Path)
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--onward", type=Path, help="the Vosk directory that training started from")
    parser.add_argument(
        "--share", type=float, default=1.0, help="interpolation from there: 1 gives the trained weights"
    )
    args = parser.parse_args()
    if args.network is None:
        write_words(args.out, lexicon(vocabulary()), with_curves_of(args.out))
        return
    from models.folded import components
    from models.train import load

    parts = components(load(args.network))
    if args.onward:
        parts = between(parts, affines((args.onward / "am" / "final.mdl").read_bytes()), args.share)
    write_model(args.out, parts, lexicon(vocabulary()), Tuning())


if __name__ == "__main__":
    main()
