"""The same screen in a browser, for a tablet or a wall display on the shop's network.

    pip install 'bench[serve]'
    python -m bench.screen.browser --port 8000 -- --theme sunlight

It uses the microphone and loudspeaker of this machine. Only this machine is served unless `--host` says
otherwise; whoever can open the page can drive the job.
"""

from __future__ import annotations

import argparse
import shlex
import sys
from collections.abc import Sequence

from bench.core.notes import BenchError


def command(arguments: Sequence[str]) -> str:
    """The command line that runs the assistant with this very Python."""
    return shlex.join([sys.executable, "-m", "bench", *arguments])


def serve(host: str, port: int, arguments: Sequence[str]) -> None:
    """Serve until interrupted. Raises BenchError when the optional library is missing."""
    try:
        from textual_serve.server import Server
    except ImportError as error:
        raise BenchError(
            "Showing the screen in a browser needs one more library.", "Run: pip install 'bench[serve]'"
        ) from error
    Server(command(arguments), host=host, port=port, title="Bench").serve()


def main(argv: Sequence[str] | None = None) -> int:
    """Run from the command line."""
    parser = argparse.ArgumentParser(
        prog="python -m bench.screen.browser",
        description=__doc__,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--host", default="localhost", help="address to listen on (default: localhost)")
    parser.add_argument("--port", type=int, default=8000, help="port to listen on (default: 8000)")
    parser.add_argument("arguments", nargs="*", help="after --: options for bench itself")
    args = parser.parse_args(argv)
    try:
        serve(args.host, args.port, args.arguments)
    except BenchError as error:
        print(f"bench: {error.message.template}\n  {error.remedy.template}", file=sys.stderr)
        return 2
    return 0


if __name__ == "__main__":
    sys.exit(main())
