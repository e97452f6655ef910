"""Runs the whole build: speak, train, write the Vosk directory.

`python -m models.build --small --work work --out my-model` takes some minutes on a CPU with eSpeak NG and Flite
installed. It tests every stage; its model recognizes little. The full build needs `--kokoro FOLDER` and an
accelerator.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
from pathlib import Path

from models.corpus import HERE

FULL = {"flite": 4500, "espeak": 4500, "hibari": 6500, "kokoro": 8000}
SMALL = {"flite": 150, "espeak": 100}
FULL_TRAINING = (
    "--width 640 --bottleneck 128 --blocks 10 --seconds 1000 --rate 1.5e-3 --seed-steps 450 --steps 4000"
)
SMALL_TRAINING = "--width 96 --bottleneck 24 --blocks 4 --seconds 40 --seed-steps 150 --steps 60 --rooms 20"


def commands(args: argparse.Namespace) -> list[list[str]]:
    """The command lines of the stages, which are modules of this folder."""
    speech, network = args.work / "speech", args.work / "network.pt"
    engines = SMALL if args.small else FULL
    stages = []
    for seed, (engine, count) in enumerate(engines.items(), 101):
        stage = ["models.speak", "--engine", engine, "--count", str(count), "--seed", str(seed)]
        stage += ["--out", str(speech / engine)]
        if engine == "kokoro":
            stage += ["--folder", str(args.kokoro)]
        stages.append(stage)
    training = (SMALL_TRAINING if args.small else FULL_TRAINING).split()
    stages.append(["models.train", "--speech", str(speech), "--out", str(network), *training])
    stages.append(["models.export", "--network", str(network), "--out", str(args.out)])
    return stages


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--small", action="store_true", help="build a small test model on a CPU")
    parser.add_argument("--kokoro", type=Path, help="folder with kokoro.onnx, vocab.json and voices/*.bin")
    parser.add_argument("--work", type=Path, default=HERE / "work", help="folder for speech and network")
    parser.add_argument("--out", type=Path, required=True, help="the model directory to write")
    args = parser.parse_args()
    if not args.small and args.kokoro is None:
        parser.error("the full build needs --kokoro; see models/README.md")
    (args.work / "speech").mkdir(parents=True, exist_ok=True)
    for stage in commands(args):
        print("python -m", *stage, flush=True)
        subprocess.run([sys.executable, "-m", *stage], check=True, cwd=HERE.parent)


if __name__ == "__main__":
    main()
