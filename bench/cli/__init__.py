"""The command `bench`: one module per subcommand, imported only when it is used."""

from __future__ import annotations

import argparse
import difflib
import importlib
import json
import os
import sys
from collections.abc import Sequence
from pathlib import Path

from bench import __version__
from bench.cli.terminal import plain_streams
from bench.core.notes import BenchError

COMMANDS = {
    "demo": "watch and hear a whole job with both parts spoken by the machine",
    "marks": "work out one bend",
    "measure": "bends from site measurements: boxes, matching, racks, cuts",
    "simulate": "simulate the finished shape of any list of marks",
    "understand": "show the meaning of words",
    "say": "print a length in the words the voice uses",
    "hear": "recognize and interpret a recording",
    "serve": "show the screen in a browser, for a phone, a tablet or a wall display",
    "doctor": "check what works, what does not, and how to fix it",
    "jobs": "list the jobs stored on this machine",
    "sheet": "write the job sheet for paper",
    "bender": "list, add and calibrate benders",
    "model": "list and verify speech models",
    "record": "record phrases to improve recognition",
}
"""Each is a module `bench.cli.NAME` with `configure(parser)` and `run(args) -> exit code`."""


def main(argv: Sequence[str] | None = None) -> int:
    """Run the command line. Returns 0: done, 1: done but something needs attention, 2: bad request."""
    with plain_streams():
        return _run(list(sys.argv[1:] if argv is None else argv))


def _run(arguments: list[str]) -> int:
    if arguments and not arguments[0].startswith("-") and arguments[0] not in COMMANDS:
        return report(_unknown(arguments[0]), "--json" in arguments)
    name = arguments[0] if arguments and arguments[0] in COMMANDS else "assist"
    module = importlib.import_module(f"bench.cli.{name}")
    parser = argparse.ArgumentParser(
        prog="bench" if name == "assist" else f"bench {name}",
        description=module.__doc__,
        epilog=_command_list() if name == "assist" else None,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--version", action="version", version=f"bench {__version__}")
    module.configure(parser)
    args = parser.parse_args(arguments if name == "assist" else arguments[1:])
    try:
        _whole_paths(args)
        code = int(module.run(args))
        sys.stdout.flush()
        return code
    except BenchError as error:
        return report(error, as_json=getattr(args, "json", False))
    except BrokenPipeError:
        # The reader of the output (`bench marks ... | head`) has closed the pipe. Python must not write the rest.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except MemoryError:
        return report(_too_large(), as_json=getattr(args, "json", False))
    except OSError as error:
        # The person can fix errors of the system: a path, a disk, a permission.
        return report(_refused(error), as_json=getattr(args, "json", False))


def report(error: BenchError, as_json: bool) -> int:
    """Print an error for the person on stderr, or as JSON on stdout for a program. Returns exit code 2."""
    from bench.language.write import printable, written

    message, remedy = printable(written(error.message)), printable(written(error.remedy))
    if as_json:
        print(json.dumps({"error": {"code": error.code, "message": message, "try": remedy}}))
    else:
        print(f"bench: {message}" + (f"\n  {remedy}" if remedy else ""), file=sys.stderr)
    return 2


def _unknown(name: str) -> BenchError:
    near = difflib.get_close_matches(name, COMMANDS, 1)
    remedy = f"Did you mean: bench {near[0]}" if near else "For a list of commands: bench --help"
    return BenchError(f"There is no command {name}.", remedy, "command_unknown")


def _too_large() -> BenchError:
    return BenchError(
        "This does not fit into the memory of this machine.", "Try a smaller input.", "too_large"
    )


def _refused(error: OSError) -> BenchError:
    what = error.strerror or str(error)
    where = f"{error.filename}: " if error.filename else ""
    return BenchError(f"{where}{what}.", "Check the path and its permissions.", "system_refused")


def _whole_paths(args: argparse.Namespace) -> None:
    """Make all path arguments absolute, and store everything in `--data` if given."""
    from bench.data.folders import use, whole_path

    for name, value in vars(args).items():
        if isinstance(value, Path):
            setattr(args, name, whole_path(value))
    use(getattr(args, "data", None))


def _command_list() -> str:
    return "commands:\n" + "\n".join(f"  bench {name:<11} {what}" for name, what in COMMANDS.items())
