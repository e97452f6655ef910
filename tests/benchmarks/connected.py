"""Real people saying several words in a row: letters, digits, playing cards, an order. Words in any order are allowed.

    python -m tests.benchmarks.connected

AN4 (Carnegie Mellon, one speaker here) and the short test clips of PocketSphinx, none of them trained on. Words that
are none of the product's get the pronunciations of PocketSphinx's dictionary, in a copy of the model for this alone.
Printed: the words of the clips, and wrong, missing and added words as a share of them (word error rate).
"""

from __future__ import annotations

import shutil
import string
import tempfile
from pathlib import Path

import jiwer
import pocketsphinx

from bench.data.phrases import lexicon
from bench.ears.model_directory import find_model, model_directory
from bench.ears.pocketsphinx_ear import PocketSphinxRecognizer
from bench.ears.recognizer import Recognizer
from bench.ears.vosk_ear import VoskRecognizer
from bench.ears.whole import hear_whole
from bench.language.automaton import Automaton
from bench.language.meaning import Expectation
from models.graph import Costs, read_lexicon, write_graph
from tests.benchmarks.hearing import COUNT, DIGITS
from tests.benchmarks.sounds import LEVELS, people, with_noise
from tests.ears.corpus import sound

BOOKS = "librivox"


def clips() -> list[dict[str, str]]:
    """The clips, books being another matter."""
    entries = people("an4") + people("cmusphinx-pocketsphinx")
    return [entry for entry in entries if BOOKS not in entry["path"]]


def vocabulary() -> frozenset[str]:
    """Their words, all digits and all letters."""
    return DIGITS.union(string.ascii_lowercase, *(entry["text"].split() for entry in clips()))


def any_words(_: Expectation) -> Automaton:
    """One word after another. Two states take turns, for an arc back to its own state is taken for a hesitation."""
    one, other = (dict.fromkeys(sorted(vocabulary()), state) for state in (1, 2))
    return Automaton((one, other, one), frozenset({1, 2}), frozenset())


def extended(folder: Path) -> Path:
    """A copy of the model of the house that also knows the words of the clips."""
    model = find_model()
    assert model is not None
    shutil.copytree(model, folder / "model")
    known = read_lexicon(model / "graph" / "lexicon.txt")
    dictionary = pocketsphinx.Decoder(lm=None, loglevel="FATAL")
    for word in sorted(vocabulary() - known.keys()):
        known[word] = [tuple(dictionary.lookup_word(word).split())]
    write_graph(folder / "model" / "graph", known, Costs())
    return folder / "model"


def row(ear: Recognizer) -> str:
    """One line of the table."""
    ear.expect(COUNT)
    said = [entry["text"] for entry in clips()]
    rates = []
    for level in LEVELS:
        sounds = [with_noise(sound(entry), level, number) for number, entry in enumerate(clips())]
        rates.append(f"{100 * jiwer.wer(said, [hear_whole(ear, one).text for one in sounds]):.1f}")
    return f"| {ear.name} | {len(said)} | {sum(len(one.split()) for one in said)} | {' / '.join(rates)} |"


def main() -> None:
    print("| ear | clips | words | % word errors, clean / 15 dB / 6 dB |")
    print("|---|---|---|---|")
    with tempfile.TemporaryDirectory() as folder:
        ear = VoskRecognizer(model_directory(extended(Path(folder))), any_words)
        print(row(ear), flush=True)
        ear.close()
    print(row(PocketSphinxRecognizer(any_words, lexicon().pronunciations)))


if __name__ == "__main__":
    main()
