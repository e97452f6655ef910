"""A long study in parts: which share of it is done here, its results as JSON, and the parts put together.

... --slice 1/4 --out one.json      on one processor or machine, 2/4 on another, and so on
... --merge one.json two.json ...   the table of all of them
"""

from __future__ import annotations

import argparse
import json
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any, TypeVar

import cattrs

from bench.ears.choose import EARS, Grammar, recognizer
from bench.ears.model_directory import find_model, model_directory
from bench.ears.second.model import find_second, second_model
from bench.ears.two_recognizers import TwoRecognizers

Item = TypeVar("Item")
Record = TypeVar("Record")


@dataclass(frozen=True)
class Share:
    """Every `part`th item, and of those every `of`th from the `at`th on; `at` begins with one."""

    part: int = 1
    at: int = 1
    of: int = 1

    def taken(self, items: Sequence[Item]) -> list[tuple[int, Item]]:
        """The items of this share, each with its place among all of the part."""
        return list(enumerate(items[:: self.part]))[self.at - 1 :: self.of]


@dataclass(frozen=True)
class Result:
    """What stands in a file beside the records."""

    study: str
    models: dict[str, str]
    part: int
    at: int
    of: int


def options(text: str | None) -> argparse.ArgumentParser:
    """The options that say with which models is measured, on how much, and where the results go."""
    parser = argparse.ArgumentParser(description=text, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--model", type=Path, help="another Vosk model for the first recognizer")
    parser.add_argument("--second", type=Path, help="another model for the second recognizer")
    parser.add_argument("--part", type=int, default=1, help="only every so many clips")
    parser.add_argument("--slice", default="1/1", metavar="I/K", help="of those, the Ith of K shares")
    parser.add_argument("--out", type=Path, help="write the results as JSON, and no table")
    parser.add_argument("--merge", type=Path, nargs="+", metavar="FILE", help="results to put together")
    return parser


def share(args: argparse.Namespace) -> Share:
    """The share that the options ask for."""
    at, of = (int(one) for one in args.slice.split("/"))
    if not 1 <= at <= of:
        raise SystemExit(f"--slice {args.slice}: from 1/{of} to {of}/{of}")
    return Share(args.part, at, of)


def both_recognizers(args: argparse.Namespace, grammar: Grammar | None = None) -> TwoRecognizers:
    """Both recognizers with the models of the options."""
    ear = recognizer(EARS[0], args.model, args.second, grammar=grammar)
    assert isinstance(ear, TwoRecognizers)
    return ear


def save(study: str, args: argparse.Namespace, records: Sequence[Any]) -> None:
    """Write the records of a share, one a line, behind a line that tells of what."""
    one = share(args)
    head = asdict(Result(study, _models(args), one.part, one.at, one.of))
    lines = [json.dumps(head), *(json.dumps(asdict(record)) for record in records)]
    args.out.write_text("\n".join(lines) + "\n", encoding="utf-8")


def study_of(path: Path) -> str:
    """The name of the study whose results a file holds."""
    with path.open(encoding="utf-8") as file:
        return str(json.loads(file.readline())["study"])


def load(study: str, paths: Sequence[Path], kind: type[Record]) -> list[Record]:
    """The records of several shares. SystemExit for shares that do not belong together or of which one is missing."""
    heads, records = [], []
    for path in paths:
        head, *lines = path.read_text(encoding="utf-8").splitlines()
        heads.append(cattrs.structure(json.loads(head), Result))
        records += [cattrs.structure(json.loads(line), kind) for line in lines]
    if len({(one.study, *sorted(one.models.items()), one.part, one.of) for one in heads}) > 1:
        raise SystemExit("These results are of different studies, models or parts.")
    if heads[0].study != study:
        raise SystemExit(f"These are results of {heads[0].study}, not of {study}.")
    if (found := sorted(one.at for one in heads)) != list(range(1, heads[0].of + 1)):
        raise SystemExit(f"These are the shares {found} of {heads[0].of}.")
    return records


def _models(args: argparse.Namespace) -> dict[str, str]:
    """What tells the models apart: the digest of the weights."""
    first = args.model or find_model()
    second = args.second or find_second()
    return {
        "first": model_directory(first).settings.files.get("am/final.mdl", str(first)) if first else "none",
        "second": second_model(second).files.get("model.bin", str(second)) if second else "none",
    }
