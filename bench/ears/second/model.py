"""The second recognizer's model on disk: where it is, what its maker wrote down about it, whether it is whole."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

from bench.core.notes import BenchError
from bench.ears.joint import Weights
from bench.ears.model_directory import SETTINGS_FILE, changed_files, read_settings, shipped

SECOND = "second"
_NEEDED = "model.bin"
_REMEDY = "Put a whole copy of the model in its place."
_GOES_ON = "Bench goes on with one recognizer."


@dataclass(frozen=True)
class SecondModel:
    """`bench.toml` of the model: its `name`, the digest of each of its `files`, and the `confidence` in it."""

    name: str = ""
    files: dict[str, str] = field(default_factory=dict)
    confidence: Weights = field(default_factory=Weights)


def find_second() -> Path | None:
    """The model that comes with Bench: in the installed package, or in a checkout's `models/`."""
    return shipped(SECOND, _NEEDED)


def second_model(folder: Path) -> SecondModel:
    """What stands in the model's `bench.toml`. Raises BenchError when it cannot be read."""
    if not (folder / SETTINGS_FILE).is_file():
        remedy = f"Put a model into {folder}. {_GOES_ON}"
        raise BenchError("The model of the second recognizer is not there.", remedy, code="model_missing")
    return read_settings(folder, SecondModel, f"{_REMEDY} {_GOES_ON}")


def check(folder: Path) -> None:
    """Raises BenchError naming the files that are not what the model's maker wrote down."""
    changed = changed_files(folder, second_model(folder).files)
    if changed:
        message = f"The model of the second recognizer is damaged: {', '.join(changed)}."
        remedy = f"Put a whole copy of the model into {folder}. {_GOES_ON}"
        raise BenchError(message, remedy, code="model_damaged")
