"""Speech models: list what is there, verify one, take another into use.

list              the models that come with Bench, one for each listener, and those fetched
verify [DIR]      every file against its digest, and a trial load; without DIR the models that come with Bench
fetch FROM        take in a Vosk model: a directory, .zip or .tar archive that is on this machine. Bench never
                  downloads: its own model comes with it, and it works without a network.
"""

from __future__ import annotations

import argparse
import json
import shutil
import tarfile
import tempfile
import time
import zipfile
import zlib
from pathlib import Path

from bench.cli.understand import open_expectation
from bench.core.notes import BenchError
from bench.data.folders import whole_path
from bench.ears.choose import recognizer
from bench.ears.model_directory import (
    changed_files,
    damaged_files,
    fetched_models,
    find_model,
    model_directory,
    models_folder,
)
from bench.ears.second.model import SECOND, find_second, second_model
from bench.ears.second.network import Network
from bench.ears.second.spelling import Spelling
from bench.language.meaning import Kind

MOST_BYTES = 8 << 30
"""Bytes of a model unpacked; the largest Vosk models take three gigabytes (from memory)."""
_NAME_ONE = "Give a model directory or an archive of one."
_ARCHIVES = (".zip", ".tar", ".gz", ".tgz", ".bz2", ".xz")


def configure(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("action", choices=("list", "verify", "fetch"), nargs="?", default="list")
    parser.add_argument(
        "what",
        nargs="?",
        metavar="DIR|FROM",
        help="a model directory, its name, or an archive of one",
    )
    parser.add_argument(
        "--data", type=Path, metavar="DIR", help="the folder of Bench, in place of the user's own"
    )
    parser.add_argument("--json", action="store_true", help="one JSON object a model")


def run(args: argparse.Namespace) -> int:
    if args.action == "fetch":
        return _fetch(args.what)
    if args.action == "verify":
        second = _verify_second(args.json) if args.what is None else 0
        return max(_verify(_named(args.what), args.json), second)
    return _list(args.json)


def _list(as_json: bool) -> int:
    """1 when there is no model at all."""
    own = [path for path in (find_model(), find_second()) if path is not None]
    found = own + fetched_models()
    for path in found:
        size = sum(file.stat().st_size for file in path.rglob("*") if file.is_file())
        row = {"name": path.name, "path": str(path), "megabytes": round(size / 1e6, 1), "own": path in own}
        print(json.dumps(row) if as_json else f"{row['name']:<24} {row['megabytes']:>6} MB  {path}")
    if not found and not as_json:
        print("No model is there: Bench cannot hear. Fetch one with: bench model fetch FROM")
    return 0 if found else 1


def _verify(path: Path, as_json: bool) -> int:
    """1 when a file is not what its maker wrote down. A model that does not load raises BenchError."""
    model = model_directory(path)
    damaged = damaged_files(model)
    seconds, lacking = (0.0, []) if damaged else _trial_load(path)
    report = {
        "name": model.name,
        "path": str(path),
        "files_checked": len(model.settings.files),
        "damaged": damaged,
        "load_seconds": round(seconds, 3),
        "lacking_words": lacking,
    }
    print(json.dumps(report) if as_json else _readable(report))
    return 1 if damaged else 0


def _verify_second(as_json: bool) -> int:
    """The model of the second listener: its files, and a trial load. 1 when it is damaged or missing."""
    path = find_second()
    report: dict[str, object] = {"name": SECOND, "path": str(path), "damaged": [], "load_seconds": 0.0}
    if path is None:
        report["damaged"] = ["all of it is missing"]
    else:
        files = second_model(path).files
        report |= {"files_checked": len(files), "damaged": changed_files(path, files)}
        if not report["damaged"]:
            began = time.perf_counter()
            Spelling(path)
            Network(path)
            report["load_seconds"] = round(time.perf_counter() - began, 3)
    print(json.dumps(report) if as_json else _readable(report))
    return 1 if report["damaged"] else 0


def _readable(report: dict[str, object]) -> str:
    if report["damaged"]:
        names = ", ".join(map(str, report["damaged"]))  # type: ignore[call-overload]
        return f"{report['path']} is damaged: {names}. Put a whole copy of the model in its place."
    lines = [f"{report['name']} is whole and loads in {report['load_seconds']} s."]
    if not report.get("files_checked"):
        lines.append("Its maker wrote down no digests, so only a trial load was made.")
    if report.get("lacking_words"):
        lines.append(f"It does not know: {', '.join(map(str, report['lacking_words']))}")  # type: ignore[call-overload]
    return "\n".join(lines)


def _trial_load(path: Path) -> tuple[float, list[str]]:
    """Seconds to be ready for a spoken length or command, and words of Bench that the model does not know."""
    began = time.perf_counter()
    ear = recognizer("vosk", path)
    try:
        ear.expect(open_expectation(Kind.LENGTH))
        seconds = time.perf_counter() - began
        ear.expect(open_expectation(Kind.COMMAND))
        return seconds, sorted(getattr(ear, "unknown", ()))
    finally:
        ear.close()


def _fetch(what: str | None) -> int:
    if what is None or "://" in what:
        remedy = (
            "Bench's own model comes with it. To use another, get its directory or archive onto this "
            "machine, then: bench model fetch FROM, or name it with --model DIR."
        )
        raise BenchError("Bench downloads nothing.", remedy, code="no_download")
    source = whole_path(Path(what))
    if not source.exists():
        raise BenchError(f"{source} is not there.", _NAME_ONE, code="no_model")
    with tempfile.TemporaryDirectory() as folder:
        found = _model_inside(_unpacked(source, Path(folder)))
        target = models_folder() / found.name
        if target.exists():
            raise BenchError(f"{target} is there already.", "Remove it first.", code="model_exists")
        try:
            target.parent.mkdir(parents=True, exist_ok=True)
            shutil.copytree(found, target)
        except OSError as error:
            raise BenchError(f"The model cannot be stored: {error}", code="model_not_stored") from error
    print(f"{target.name} is ready: bench --ear vosk --model {target}")
    return _verify(target, as_json=False)


def _unpacked(source: Path, folder: Path) -> Path:
    if source.is_dir():
        return source
    if not source.is_file():
        raise BenchError(f"{source} is not an ordinary file.", _NAME_ONE, code="bad_archive")
    if source.suffix not in _ARCHIVES:
        raise BenchError(
            f"{source} is not an archive.", f"Known are {', '.join(_ARCHIVES)}.", code="bad_archive"
        )
    try:
        if source.suffix == ".zip":
            with zipfile.ZipFile(source) as archive:
                _refuse_larger(sum(member.file_size for member in archive.infolist()))
            shutil.unpack_archive(source, folder)
        else:
            shutil.unpack_archive(source, folder, filter=_Bounded())
    except (OSError, ValueError, EOFError, zlib.error, zipfile.BadZipFile, shutil.ReadError) as error:
        raise BenchError(f"{source} cannot be unpacked: {error}", code="bad_archive") from error
    return folder


class _Bounded:
    """The filter of members of a tar archive: data alone, and no more of it than a model takes."""

    def __init__(self) -> None:
        self._bytes = 0

    def __call__(self, member: tarfile.TarInfo, folder: str) -> tarfile.TarInfo | None:
        self._bytes += member.size
        _refuse_larger(self._bytes)
        return tarfile.data_filter(member, folder)


def _refuse_larger(size: int) -> None:
    """Raises ValueError for an archive that would fill the disk."""
    if size > MOST_BYTES:
        raise ValueError(f"it holds more than {MOST_BYTES >> 30} GB")


def _model_inside(folder: Path) -> Path:
    """The model directory: the folder itself, or the first below it that is whole."""
    for candidate in (folder, *sorted(path for path in folder.rglob("*") if path.is_dir())):
        if (candidate / "am" / "final.mdl").is_file():
            return model_directory(candidate).path
    raise BenchError(
        f"There is no Vosk model in {folder.name}.", "It holds am, conf and graph.", code="no_model"
    )


def _named(what: str | None) -> Path:
    """A model by directory or by name; without one, the model that comes with Bench."""
    if what is None:
        own = find_model()
        if own is None:
            remedy = "Install Bench again, or name a model directory."
            raise BenchError(
                "The speech model that comes with Bench is not there.", remedy, code="model_missing"
            )
        return own
    fetched = models_folder() / what
    return fetched if fetched.is_dir() else whole_path(Path(what))
