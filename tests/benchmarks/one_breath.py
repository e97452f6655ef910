"""How many orders in one breath the ears hear as they were meant: whole set-ups, bends and measures.

    python -m tests.benchmarks.one_breath --count 200 [--model DIR] [--second DIR] [--confusions]
    python -m tests.benchmarks.one_breath --lines orders.jsonl --count 200     for better voices, see below
    python -m tests.benchmarks.one_breath --clips orders.zip

Orders are made of the grammar's own numbers, names and labels (`tests/one_breath.py`), every bend in turn, every third
with its set-up. They are said by voices of eSpeak NG that no model was trained on: other throats and an accent, but the
same rules of speech as voices that were. Better ones, of the held-out Kokoro voices (`models/heldout.toml`), come from
`python -m models.speak --engine kokoro --lines orders.jsonl --voices am_fenrir ... --out orders.zip`.

Heard clean and at 6 dB with noise not trained on, in the state in which a person would say it. Right: the best reading
means the same bend, set-up and measures. Shares, JSON and tables as in `tests.benchmarks.hearing`.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Sequence
from datetime import date
from pathlib import Path
from random import Random

from bench.data.bundle import knowledge
from bench.dialogue.machine import expectation
from bench.language.meaning import Expectation
from tests.benchmarks.hearing import Clip, Task, trial
from tests.benchmarks.hearing_table import confusions, table
from tests.benchmarks.parts import both_recognizers, load, options, save, share
from tests.benchmarks.records import Trial
from tests.benchmarks.sounds import synthetic
from tests.dialogue.conversation import Conversation
from tests.one_breath import OneBreath, orders

STUDY = "one_breath"
SEED = 20
LEVELS: tuple[float | None, ...] = (None, 6.0)
VOICES = (
    *("en-us+adam", "en-us+Alicia", "en-us+Hugo", "en-us+Andrea", "en-us+john", "en-us+Mike"),
    *("en-gb-x-gbcwmd+paul", "en-gb-x-gbcwmd+shelby", "en-us+norbert", "en-us+Jacky"),
)
"""Variants and an accent of eSpeak NG that are not in `models/voices.py`."""
_SPELLED = {"emt": "E M T", "imc": "I M C", "rmc": "R M C"}


def states() -> tuple[Expectation, Expectation]:
    """Where a bend is named, without a set-up and with one."""
    talk = Conversation()
    talk.start()
    first = expectation(talk.state, knowledge())
    for answer in ("emt", "three quarter", "typical"):
        talk.say(answer)
    return expectation(talk.state, knowledge()), first


Numbered = tuple[int, OneBreath]


def clips(many: Sequence[Numbered], zipped: Path | None) -> Iterator[tuple[Numbered, Clip]]:
    """Each order with its sound."""
    if zipped is not None:
        from models.speak import read_speech

        spoken = {" ".join(entry["words"]): sound for entry, sound in read_speech(zipped)}
        yield from ((one, Clip(one[1].words, spoken[one[1].words])) for one in many if one[1].words in spoken)
        return
    for number, order in many:
        text = " ".join(_SPELLED.get(word, word) for word in order.text.replace(",", " ,").split())
        voice = f"espeak:{VOICES[number % len(VOICES)]}"
        yield (number, order), Clip(order.words, synthetic(text, voice))


def measured(args: argparse.Namespace) -> list[Trial]:
    """One share of the orders."""
    between, first = states()
    bare = Task("orders", between, list, LEVELS)
    with_set_up = Task("orders with set-up", first, list, LEVELS)
    ear = both_recognizers(args)
    found = []
    mine = share(args).taken(list(orders(Random(SEED), args.count)))
    for (number, order), clip in clips(mine, args.clips):
        task = with_set_up if order.conduit else bare
        ear.expect(task.expectation)
        found += [trial(ear, task, number, clip, level) for level in LEVELS]
    ear.close()
    return found


def write_lines(path: Path, count: int) -> None:
    """The orders as lines for `models.speak`, a pause for each comma."""
    from models.pronounce import pronunciations
    from models.speak import save_lines
    from models.voices import Line

    made = []
    for one in orders(Random(SEED), count):
        parts = [part.split() for part in one.text.split(",")]
        words = tuple(word for part in parts for word in part)
        pauses = tuple(sum(map(len, parts[:at])) - 1 for at in range(1, len(parts)))
        made.append(Line(words, tuple(pronunciations(word)[0] for word in words), pauses))
    save_lines(path, made)


def main() -> int:
    """Measure or put together; write the results or print the tables."""
    parser = options(__doc__)
    parser.add_argument("--count", type=int, default=100, help="how many orders")
    parser.add_argument(
        "--lines", type=Path, metavar="FILE", help="write the orders down for models.speak, and stop"
    )
    parser.add_argument("--clips", type=Path, metavar="ZIP", help="orders that models.speak has spoken")
    parser.add_argument("--confusions", action="store_true", help="list what was taken for what")
    args = parser.parse_args()
    if args.lines:
        write_lines(args.lines, args.count)
        return 0
    trials = load(STUDY, args.merge, Trial) if args.merge else measured(args)
    if args.out:
        save(STUDY, args, trials)
        return 0
    print(f"\n{date.today().isoformat()}, {len(trials) // len(LEVELS)} orders; columns clean / 6 dB\n")
    for line in table(trials):
        print(line)
    if args.confusions:
        for line in confusions(trials):
            print(line)
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
