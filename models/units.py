"""The phone units of the model and their numbering for Kaldi.

A unit is a context-independent phone of the CMU Pronouncing Dictionary. Each unit has two acoustic classes: its first
frame and every later frame. This is the one-state topology of Kaldi's chain models. The network sees 0.7 s of sound,
so its classes need no context.
"""

from __future__ import annotations

SILENCE = "SIL"
NOISE = "SPN"
"""The unit of out-of-vocabulary speech."""
FILLER = "[unk]"
"""The word for it."""
PHONES = (
    "AA",
    "AE",
    "AH",
    "AO",
    "AW",
    "AY",
    "B",
    "CH",
    "D",
    "DH",
    "EH",
    "ER",
    "EY",
    "F",
    "G",
    "HH",
    "IH",
    "IY",
    "JH",
    "K",
    "L",
    "M",
    "N",
    "NG",
    "OW",
    "OY",
    "P",
    "R",
    "S",
    "SH",
    "T",
    "TH",
    "UH",
    "UW",
    "V",
    "W",
    "Y",
    "Z",
    "ZH",
)
UNITS = (SILENCE, NOISE, *PHONES)
UNIT_NUMBER = {unit: number for number, unit in enumerate(UNITS)}
CLASSES = 2 * len(UNITS)

_PLACES = ("B", "E", "I", "S")
"""Position of a phone in its word: begin, end, inside, or single. Kaldi uses it to find word boundaries."""
KALDI_PHONES = (SILENCE, NOISE, *(f"{phone}_{place}" for phone in PHONES for place in _PLACES))
KALDI_NUMBER = {phone: number + 1 for number, phone in enumerate(KALDI_PHONES)}


def first_class(unit: str) -> int:
    """The class of a unit's first frame."""
    return 2 * UNIT_NUMBER[unit]


def further_class(unit: str) -> int:
    """The class of a unit's later frames."""
    return 2 * UNIT_NUMBER[unit] + 1


def unit_of(kaldi_phone: str) -> str:
    """The unit of a position-dependent phone."""
    return kaldi_phone.split("_")[0]


def placed(phones: tuple[str, ...]) -> tuple[str, ...]:
    """The position-dependent phones of a word."""
    if len(phones) == 1:
        return (f"{phones[0]}_S",)
    inside = tuple(f"{phone}_I" for phone in phones[1:-1])
    return (f"{phones[0]}_B", *inside, f"{phones[-1]}_E")


def boundary(kaldi_phone: str) -> str:
    """The keyword for a phone in Kaldi's `word_boundary.int`."""
    if kaldi_phone == SILENCE:
        return "nonword"
    names = {"B": "begin", "E": "end", "I": "internal", "S": "singleton"}
    return names[kaldi_phone[-1]] if "_" in kaldi_phone else "singleton"
