"""The second listener's model on disk: where it is, what its maker wrote down about it, whether it is whole."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, field
from pathlib import Path

import cattrs

from bench.core.notes import BenchError
from bench.ears.joint import Weights
from bench.ears.model_directory import SETTINGS_FILE, changed_files, shipped

SECOND = "second"
_NEEDED = "model.bin"
_REMEDY = "Put a whole copy of the model in its place."


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
    try:
        raw = tomllib.loads((folder / SETTINGS_FILE).read_text(encoding="utf-8"))
        return cattrs.Converter().structure(raw, SecondModel)
    except (OSError, ValueError) as error:
        raise BenchError(f"{folder / SETTINGS_FILE}: {error}", _REMEDY, code="model_damaged") from error
    except cattrs.BaseValidationError as error:
        reasons = "; ".join(cattrs.transform_error(error))
        raise BenchError(f"{folder / SETTINGS_FILE}: {reasons}", _REMEDY, code="model_damaged") from error


def check(folder: Path) -> None:
    """Raises BenchError naming the files that are not what the model's maker wrote down."""
    changed = changed_files(folder, second_model(folder).files)
    if changed:
        message = f"The model {folder} is damaged: {', '.join(changed)}."
        raise BenchError(message, _REMEDY, code="model_damaged")
