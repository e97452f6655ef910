"""Show the screen in a browser, for a phone, a tablet or a wall display. Sound stays on this machine.

bench serve                        on this machine only
bench serve --qr                   to a phone or tablet on the same network: scan the code
bench serve -- --theme sunlight    after --: options for bench itself

For other machines the address contains a token that is new at each start. The page loads nothing from elsewhere.
"""

from __future__ import annotations

import argparse
import sys


def configure(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--host", help="address to listen on (default: this machine only; with --qr, its network)"
    )
    parser.add_argument("--port", type=_port, default=8000, help="port to listen on (default: 8000)")
    parser.add_argument("--qr", action="store_true", help="print a QR code of the address for a phone")
    parser.add_argument(
        "--letters",
        type=int,
        default=16,
        choices=range(8, 73),
        metavar="8-72",
        help="size of the letters in pixels",
    )
    parser.add_argument("arguments", nargs="*", help="after --: options for bench itself")


def run(args: argparse.Namespace) -> int:
    from bench.screen.browser import announce, serve, served

    where = served(args.host or ("0.0.0.0" if args.qr else "localhost"), args.port)
    announce(where, args.qr, sys.stdout)
    serve(where, args.arguments, args.letters)
    return 0


def _port(text: str) -> int:
    if text.isascii() and text.isdigit() and 0 < int(text) < 65536:
        return int(text)
    raise argparse.ArgumentTypeError("a port, 1 to 65535")
