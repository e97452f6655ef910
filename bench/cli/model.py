"""Speech models: list them, verify one, install another.

list              the models included with Bench, one per recognizer, and those fetched
verify [DIR]      check every file against its digest and load the model; without DIR, the included models
fetch FROM        install a Vosk model from a directory, .zip or .tar archive on this machine. Bench never
downloads: its own model is included, and it works without a network.
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
"""Most bytes of an unpacked model. The largest Vosk models take three gigabytes (from memory)."""
_NAME_ONE = "Give a model directory or an archive of a model."
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
        "--data", type=Path, metavar="DIR", help="the folder of Bench, instead of the user's own"
    )
    parser.add_argument("--json", action="store_true", help="one JSON object per model")


def run(args: argparse.Namespace) -> int:
    if args.action == "fetch":
        return _fetch(args.what)
    if args.action == "verify":
        second = _verify_second(args.json) if args.what is None else 0
        return max(_verify(_named(args.what), args.json), second)
    return _list(args.json)


def _list(as_json: bool) -> int:
    """List the models. Returns 1 when there are none."""
    own = [path for path in (find_model(), find_second()) if path is not None]
    found = own + fetched_models()
    for path in found:
        size = sum(file.stat().st_size for file in path.rglob("*") if file.is_file())
        row = {"name": path.name, "path": str(path), "megabytes": round(size / 1e6, 1), "own": path in own}
        print(json.dumps(row) if as_json else f"{row['name']:<24} {row['megabytes']:>6} MB  {path}")
    if not found and not as_json:
        print("There is no model, so Bench cannot hear. Get one with: bench model fetch FROM")
    return 0 if found else 1


def _verify(path: Path, as_json: bool) -> int:
    """Verify a model. Returns 1 when a file does not match its digest. Raises BenchError when it does not load."""
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
    """Verify and load the second recognizer's model. Returns 1 when it is damaged or missing."""
    path = find_second()
    report: dict[str, object] = {"name": SECOND, "path": str(path), "damaged": [], "load_seconds": 0.0}
    if path is None:
        report["damaged"] = ["all files are missing"]
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
        return f"{report['path']} is damaged: {names}. Replace it with an intact copy."
    lines = [f"{report['name']} is intact and loads in {report['load_seconds']} s."]
    if not report.get("files_checked"):
        lines.append("It has no digests, so it was only loaded.")
    if report.get("lacking_words"):
        lines.append(f"It does not know: {', '.join(map(str, report['lacking_words']))}")  # type: ignore[call-overload]
    return "\n".join(lines)


def _trial_load(path: Path) -> tuple[float, list[str]]:
    """Seconds until it can recognize a length or command, and words of Bench that the model does not know."""
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
            "Its own model is included. To use another, copy its directory or archive to this machine, "
            "then run: bench model fetch FROM, or name it with --model DIR."
        )
        raise BenchError("Bench downloads nothing.", remedy, code="no_download")
    source = whole_path(Path(what))
    if not source.exists():
        raise BenchError(f"{source} does not exist.", _NAME_ONE, code="no_model")
    with tempfile.TemporaryDirectory() as folder:
        found = _model_inside(_unpacked(source, Path(folder)))
        target = models_folder() / found.name
        if target.exists():
            raise BenchError(f"{target} already exists.", "Remove it first.", code="model_exists")
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
        raise BenchError(f"{source} is not an archive.", f"Use {', '.join(_ARCHIVES)}.", code="bad_archive")
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
    """A filter for members of a tar archive: only data, and no more than the size of a model."""

    def __init__(self) -> None:
        self._bytes = 0

    def __call__(self, member: tarfile.TarInfo, folder: str) -> tarfile.TarInfo | None:
        self._bytes += member.size
        _refuse_larger(self._bytes)
        return tarfile.data_filter(member, folder)


def _refuse_larger(size: int) -> None:
    """Raise ValueError for an archive that would fill the disk."""
    if size > MOST_BYTES:
        raise ValueError(f"it holds more than {MOST_BYTES >> 30} GB")


def _model_inside(folder: Path) -> Path:
    """The model directory: the folder itself, or the first complete one below it."""
    for candidate in (folder, *sorted(path for path in folder.rglob("*") if path.is_dir())):
        if (candidate / "am" / "final.mdl").is_file():
            return model_directory(candidate).path
    raise BenchError(
        f"There is no Vosk model in {folder.name}.", "A model contains am, conf and graph.", code="no_model"
    )


def _named(what: str | None) -> Path:
    """The path of a model by directory or name. None selects the included model."""
    if what is None:
        own = find_model()
        if own is None:
            remedy = "Install Bench again, or name a model directory."
            raise BenchError("The speech model included with Bench is missing.", remedy, code="model_missing")
        return own
    fetched = models_folder() / what
    return fetched if fetched.is_dir() else whole_path(Path(what))
