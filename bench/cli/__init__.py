"""The command `bench`: one module a sub-command, imported only when it is asked for."""

from __future__ import annotations

import argparse
import importlib
import json
import os
import sys
from collections.abc import Sequence

from bench.core.notes import BenchError

COMMANDS = {
    "demo": "watch and listen to a whole job, both parts spoken by the machine",
    "marks": "work out one bend",
    "simulate": "any list of marks to the finished shape",
    "understand": "words to meaning",
    "say": "a length in the words the voice uses",
    "hear": "a recording to words and meaning",
    "doctor": "what works, what does not, how to mend it",
    "jobs": "list the jobs kept on this machine",
    "sheet": "the job sheet on paper",
    "bender": "list, add and calibrate benders",
    "model": "list and verify speech models",
    "record": "record phrases to improve the ears",
}
"""Each is a module `bench.cli.NAME` with `configure(parser)` and `run(args) -> exit code`."""


def main(argv: Sequence[str] | None = None) -> int:
    """Run the command line. 0 done, 1 ran but something needs attention, 2 bad request."""
    arguments = list(sys.argv[1:] if argv is None else argv)
    name = arguments[0] if arguments and arguments[0] in COMMANDS else "assist"
    module = importlib.import_module(f"bench.cli.{name}")
    parser = argparse.ArgumentParser(
        prog="bench" if name == "assist" else f"bench {name}",
        description=module.__doc__,
        epilog=_command_list() if name == "assist" else None,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    module.configure(parser)
    args = parser.parse_args(arguments if name == "assist" else arguments[1:])
    try:
        code = int(module.run(args))
        sys.stdout.flush()
        return code
    except BenchError as error:
        return report(error, as_json=getattr(args, "json", False))
    except BrokenPipeError:
        # Whoever read the output (`bench marks ... | head`) has seen enough; Python must not try to write the rest.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0


def report(error: BenchError, as_json: bool) -> int:
    """Print an error for the person on stderr, or as JSON on stdout for a program. Returns exit code 2."""
    from bench.language.write import written

    message, remedy = written(error.message), written(error.remedy)
    if as_json:
        print(json.dumps({"error": {"code": error.code, "message": message, "try": remedy}}))
    else:
        print(f"bench: {message}" + (f"\n  {remedy}" if remedy else ""), file=sys.stderr)
    return 2


def _command_list() -> str:
    return "commands:\n" + "\n".join(f"  bench {name:<11} {what}" for name, what in COMMANDS.items())
