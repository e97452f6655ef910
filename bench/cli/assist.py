"""Bench, the hands-free assistant for bending conduit: it asks, you answer, it reads out each mark and bend.

Speak, press a key (space for next, backspace for back) or tap the screen. Without a microphone, loudspeaker or
speech model it says so, names the fix, and continues with what works. Everything is saved as it happens. After a
crash or a dead battery it continues where you were.
"""

from __future__ import annotations

import argparse
import gc
import os
import sys
from pathlib import Path

from bench.data.folders import data_folder

EARS = ("auto", "vosk", "none")
THEMES = ("dark", "light", "sunlight")
_GC_THRESHOLD = 50_000
"""Allocations before a garbage collection. A start creates many objects and discards none."""


def configure(parser: argparse.ArgumentParser) -> None:
    front = parser.add_mutually_exclusive_group()
    front.add_argument(
        "--typed",
        action="store_true",
        help="no sound, no screen: type what you would say; an empty line is next",
    )
    front.add_argument("--plain", action="store_true", help="plain lines instead of the screen")
    parser.add_argument("--wav", type=Path, metavar="FILE", help="a recording instead of the microphone")
    parser.add_argument("--list", type=Path, metavar="FILE", help="a CSV list of sticks to bend one by one")
    parser.add_argument("--ear", choices=EARS, help="the recognizer (remembered)")
    parser.add_argument("--model", type=Path, metavar="DIR", help="a Vosk model for the first recognizer")
    parser.add_argument("--second", type=Path, metavar="DIR", help="a model for the second recognizer")
    parser.add_argument("--mic", metavar="NAME", help="the microphone, or part of its name (remembered)")
    parser.add_argument("--speaker", metavar="NAME", help="the loudspeaker, or part of its name (remembered)")
    parser.add_argument("--voice", metavar="NAME", help="the voice, or part of its name (remembered)")
    parser.add_argument("--theme", choices=THEMES, help="colors of the screen (remembered)")
    parser.add_argument("--quiet", action="store_true", help="start without the voice")
    parser.add_argument("--metric", action="store_true", help="start in millimeters")
    parser.add_argument(
        "--headset", action="store_true", help="let a command word stop the voice; for headsets only"
    )
    parser.add_argument(
        "--data", type=Path, metavar="DIR", help="the folder of jobs, instead of the user's own"
    )


def run(args: argparse.Namespace) -> int:
    gc.set_threshold(_GC_THRESHOLD, *gc.get_threshold()[1:])
    from bench.assistant import fronts
    from bench.assistant.assembly import Options
    from bench.audio.recording import Recording
    from bench.data.bundle import knowledge

    given = {name: getattr(args, name) for name in ("ear", "mic", "speaker", "voice", "theme")}
    options = Options(
        given,
        args.model,
        args.second,
        args.wav,
        args.quiet,
        args.metric,
        args.headset,
        args.list,
        lesson=args.wav is None,
    )
    if args.wav:
        Recording(args.wav).close()  # refuse an unusable file before anything starts
    folder = args.data or data_folder()
    lines = fronts.interactive(sys.stdin)
    fronts.quiet_terminal()
    if args.typed:
        assistant = fronts.run_typed(folder, options, knowledge(), lines, sys.stdout)
    elif args.plain or not _has_screen():
        assistant = fronts.run_plain(folder, options, knowledge(), None if args.wav else lines, sys.stdout)
    else:
        assistant = fronts.run_on_screen(folder, options, knowledge())
    return farewell(assistant.close())


def _has_screen() -> bool:
    """Whether there is a terminal or a browser. textual-serve sets the driver that paints in the browser."""
    return sys.stdout.isatty() or "TEXTUAL_DRIVER" in os.environ


def farewell(saved: bool) -> int:
    """The exit code. Prints an error when the last steps could not be saved."""
    if not saved:
        print("bench: the last steps could not be saved. See the log for why.", file=sys.stderr)
    return 0 if saved else 1
