"""Watch and hear a whole job: a second synthetic voice speaks the person's part.

Only the words are scripted. They are rendered to sound, cut into utterances, recognized, understood and answered
like your own speech. Your own jobs are not changed. The exit code is 1 when the marks are wrong.
"""

from __future__ import annotations

import argparse
import sys
from contextlib import ExitStack
from pathlib import Path

from bench.cli.assist import EARS, THEMES


def configure(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--headless", action="store_true", help="print the conversation instead of showing the screen"
    )
    parser.add_argument("--ear", choices=EARS[:-1], default="auto", help="the recognizer")
    parser.add_argument("--model", type=Path, metavar="DIR", help="a speech model for it")
    parser.add_argument("--speaker", metavar="NAME", help="the loudspeaker, or part of its name")
    parser.add_argument("--voice", metavar="NAME", help="the assistant's voice")
    parser.add_argument("--theme", choices=THEMES, help="colors of the screen")
    parser.add_argument(
        "--data", type=Path, metavar="DIR", help="keep the job in this folder, which must have none"
    )
    parser.add_argument(
        "--svg", type=Path, metavar="DIR", help="write every screen as SVG instead, without sound"
    )
    parser.add_argument(
        "--size", type=_cells, default=(120, 40), metavar="120x40", help="the size of the screens of --svg"
    )


def run(args: argparse.Namespace) -> int:
    from bench.assistant.assembly import Options
    from bench.assistant.fronts import quiet_terminal
    from bench.core.notes import BenchError
    from bench.data.bundle import knowledge
    from bench.data.temporary import temporary_folder
    from bench.demo.showing import Demo
    from bench.memory.schema import JOB_FILE

    if args.svg:
        return _pictures(args)
    if args.data and (args.data / JOB_FILE).exists():
        raise BenchError(f"{args.data} has jobs already.", "The demonstration needs a new folder.", "not_new")
    given = {name: getattr(args, name) for name in ("ear", "speaker", "voice", "theme")}
    quiet_terminal()
    with ExitStack() as stack:
        folder = args.data or stack.enter_context(temporary_folder("demo"))
        headless = args.headless or not sys.stdout.isatty()
        demo = Demo(folder, Options(given, args.model), knowledge(), sys.stdout if headless else None)
        demo.run()
    print(demo.verdict)
    return 0 if demo.right else 1


def _pictures(args: argparse.Namespace) -> int:
    from bench.data.bundle import knowledge
    from bench.demo.story import write_story

    written = write_story(args.svg, knowledge(), args.size, args.theme or THEMES[0])
    print(f"{len(written)} screens in {args.svg}.")
    return 0


def _cells(text: str) -> tuple[int, int]:
    width, _, height = text.partition("x")
    if width.isdecimal() and height.isdecimal() and 12 <= int(height) <= 200 and 40 <= int(width) <= 500:
        return int(width), int(height)
    raise argparse.ArgumentTypeError("columns x rows, 40x12 to 500x200")
