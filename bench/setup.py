"""Set up everything and start: `python3 -m bench.setup`.

    python3 -m bench.setup [ARGUMENTS]       set up, then run `bench ARGUMENTS`
    python3 -m bench.setup install           set up and stop there
    python3 -m bench.setup test [ARGUMENTS]  set up with what the tests need, then run `pytest ARGUMENTS`
    python3 -m bench.setup --no-system ...   any of these, with the system left as it is

Needs only Python 3.11 and a checkout. What is already installed is left alone, so a second run is quick. It prints
what it will install before installing it. On Debian and its derivatives, missing system packages are installed with
apt, as root or through sudo when sudo asks for no password. Otherwise, and with --no-system, it prints the command
to run and continues with what works. Standard library only.
"""

from __future__ import annotations

import ctypes
import glob
import hashlib
import importlib.util
import os
import shutil
import subprocess
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
VENV = ROOT / ".venv"
MARKER = VENV / "bench-installed"
LOCK = ROOT / "shared" / "lock"
"""Lock files: every package pinned to a version and to the digests of its files. Written by `shared/lock/make`."""
LEAST_PYTHON = (3, 11)
NO_SYSTEM = "--no-system"


@dataclass(frozen=True)
class Need:
    """A system package, its purpose, and how to check that it is installed."""

    package: str
    purpose: str
    present: Callable[[], bool]


def _library(name: str) -> Callable[[], bool]:
    def present() -> bool:
        try:
            ctypes.CDLL(name)
        except OSError:
            return False
        return True

    return present


def _program(name: str) -> Callable[[], bool]:
    return lambda: shutil.which(name) is not None


def _file(pattern: str) -> Callable[[], bool]:
    return lambda: bool(glob.glob(pattern))


def _can_make_venvs() -> bool:
    return VENV.is_dir() or importlib.util.find_spec("ensurepip") is not None


NEEDS = (
    Need(f"python{sys.version_info[0]}.{sys.version_info[1]}-venv", "a virtual environment", _can_make_venvs),
    Need("libportaudio2", "microphone and speaker", _library("libportaudio.so.2")),
    Need(
        "libasound2-plugins",
        "the desktop's sound server",
        _file("/usr/lib/*/alsa-lib/libasound_module_pcm_pulse.so"),
    ),
    Need("libespeak-ng1", "the voice", _library("libespeak-ng.so.1")),
)
"""System packages that the assistant needs on Debian and its derivatives."""

TEST_NEEDS = (
    Need("pulseaudio", "a virtual microphone and speaker", _program("pulseaudio")),
    Need("pulseaudio-utils", "playing and recording there", _program("pacat")),
    Need("espeak-ng", "a synthetic voice that speaks to it", _program("espeak-ng")),
    Need("flite", "another synthetic voice", _program("flite")),
)


def main(arguments: Sequence[str]) -> int:
    """Set up, then replace this process with the assistant or the tests. Returns an exit status only on failure."""
    if sys.version_info < LEAST_PYTHON:
        return _refuse(
            f"Bench needs Python {LEAST_PYTHON[0]}.{LEAST_PYTHON[1]} or newer; this is {sys.version}."
        )
    if not (ROOT / "pyproject.toml").is_file():
        return _installed_already()
    may_install = NO_SYSTEM not in arguments[:1]
    arguments = arguments[0 if may_install else 1 :]
    testing = bool(arguments) and arguments[0] == "test"
    system_packages(NEEDS + TEST_NEEDS if testing else NEEDS, may_install)
    if not make_venv():
        return 1
    if not install([*_voice_extra(), *(["test"] if testing else [])]):
        return 1
    if testing:
        return _become([str(_python()), "-m", "pytest", *arguments[1:]])
    if arguments and arguments[0] == "install":
        print(f"Ready. Start with: {_script('bench')}")
        return 0
    return _become([str(_script("bench")), *arguments])


def _installed_already() -> int:
    """Refuse to set up from an installed package: an environment inside site-packages would be useless."""
    system_packages(NEEDS, may_install=False)
    return _refuse(
        "Bench is already installed here. Start it with: bench. The setup is for a checkout of the project."
    )


def system_packages(needs: Sequence[Need], may_install: bool = True) -> bool:
    """Install missing system packages, or print the command that does. True when nothing is missing."""
    if not sys.platform.startswith("linux"):
        return True  # the wheels for Windows and macOS carry PortAudio, and both systems have a voice
    missing = [need for need in needs if not need.present()]
    if not missing:
        return True
    packages = [need.package for need in missing]
    prefix = _privilege() if may_install else None
    if prefix is None or shutil.which("apt-get") is None:
        print("Missing on this system: " + ", ".join(f"{need.package} ({need.purpose})" for need in missing))
        print("  Run this line, then set up again: " + install_line(packages))
        return False
    print(
        "Installing with apt, for the whole system: "
        + ", ".join(f"{n.package} ({n.purpose})" for n in missing)
    )
    print(f"  To leave the system as it is: python3 -m bench.setup {NO_SYSTEM}", flush=True)
    apt = [*prefix, "apt-get", "-q", "-y"]
    environment = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    _run([*apt, "update"], environment)
    # Never remove a package that the person has installed.
    if _run([*apt, "install", "--no-install-recommends", "--no-remove", *packages], environment):
        return True
    print("  That did not work. Run this line, then set up again: " + install_line(packages))
    return False


def install_line(packages: Sequence[str]) -> str:
    """The command line that installs system packages."""
    return "sudo apt-get update && sudo apt-get install -y " + " ".join(packages)


def make_venv() -> bool:
    """Create `.venv`, or create it again when it is damaged. Prints the reason and returns False on failure."""
    if _python().exists() and _run([str(_python()), "-c", "import pip"], quiet=True):
        return True
    print(f"Making {VENV}")
    if _run([sys.executable, "-m", "venv", "--clear", str(VENV)], quiet=True):
        return True
    return _borrowed_virtualenv()


def _borrowed_virtualenv() -> bool:
    """Create the environment with a pinned virtualenv, for systems without the venv package."""
    tool = VENV / "virtualenv-tool"
    shutil.rmtree(VENV, ignore_errors=True)
    pip = [sys.executable, "-m", "pip", "install", "-q", "--target", str(tool)]
    pip += ["--require-hashes", "-r", str(LOCK / "virtualenv.txt")]
    environment = {**os.environ, "PYTHONPATH": str(tool)}
    if _run(pip) and _run([sys.executable, "-m", "virtualenv", "-q", str(VENV)], environment):
        return True
    _refuse("No virtual environment can be made here. " + install_line([NEEDS[0].package]))
    return False


def install(extras: Sequence[str]) -> bool:
    """Install Bench and its packages unless already installed. Prints the reason and returns False on failure."""
    basis = _basis()
    before = MARKER.read_text().splitlines() if MARKER.exists() else []
    here = before[1:] if before[:1] == [basis] else []
    if before[:1] == [basis] and set(extras) <= set(here):
        return True
    extras = sorted({*extras, *here})
    locks = locks_for(extras)
    told = " and ".join(str(lock.relative_to(ROOT)) for lock in locks)
    print(f"Installing the Python packages of {told} into {VENV} and nowhere else.")
    print("  The first time takes a few minutes.", flush=True)
    pip = [str(_python()), "-m", "pip", "install", "-q", "--disable-pip-version-check"]
    pinned = [word for lock in locks for word in ("-r", str(lock))]
    if not _run([*pip, "--require-hashes", *pinned]):
        _refuse("The pinned Python packages could not be installed. Is there a network connection?")
        return False
    if not _run([*pip, "--no-deps", "--no-build-isolation", "-e", str(ROOT)]):
        _refuse("Bench itself could not be installed.")
        return False
    MARKER.write_text("\n".join([basis, *extras]))
    return True


def locks_for(extras: Sequence[str]) -> list[Path]:
    """The lock files for these extras. The one for the tests contains the others."""
    if "test" in extras:
        return [LOCK / "test.txt"]
    return [LOCK / "bench.txt", *([LOCK / "voice.txt"] if "voice" in extras else [])]


def _basis() -> str:
    """Digest of what an environment depends on: project file, lock files, Python version and location."""
    files = [ROOT / "pyproject.toml", *sorted(LOCK.glob("*.txt"))]
    content = b"".join(file.read_bytes() for file in files)
    return hashlib.sha256(content + f"{sys.version} {ROOT}".encode()).hexdigest()


def _voice_extra() -> list[str]:
    """The extra with a voice library from a wheel, when the system has none and none could be installed."""
    if not sys.platform.startswith("linux") or _library("libespeak-ng.so.1")():
        return []
    return ["voice"]


def _privilege() -> list[str] | None:
    """Prefix of a command that needs root: empty as root, sudo if it needs no password, else None."""
    if os.geteuid() == 0:
        return []
    if shutil.which("sudo") and _run(["sudo", "-n", "true"], quiet=True):
        return ["sudo", "-n"]
    return None


def _python() -> Path:
    return _script("python")


def _script(name: str) -> Path:
    return VENV / ("Scripts" if os.name == "nt" else "bin") / (name + (".exe" if os.name == "nt" else ""))


def _run(command: Sequence[str], environment: dict[str, str] | None = None, quiet: bool = False) -> bool:
    output = subprocess.DEVNULL if quiet else None
    try:
        return subprocess.run(command, env=environment, stdout=output, stderr=output).returncode == 0
    except OSError:
        return False


def _become(command: Sequence[str]) -> int:
    """Replace this process with another program."""
    if os.name == "nt":
        return subprocess.run(command).returncode
    sys.stdout.flush()
    return os.execv(command[0], list(command))


def _refuse(message: str) -> int:
    print(message, file=sys.stderr)
    return 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
