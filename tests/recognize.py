"""Hearing recorded speech again with PocketSphinx and its own English model: an ear that is not ours."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from pocketsphinx import Decoder

RATE = 16_000

MEASURES = """
#JSGF V1.0;
grammar measures;
<unit> = one | two | three | four | five | six | seven | eight | nine;
<teen> = ten | eleven | twelve | thirteen | fourteen | fifteen | sixteen | seventeen | eighteen | nineteen;
<ten> = twenty | thirty | forty | fifty | sixty | seventy | eighty | ninety;
<whole> = <unit> | <teen> | <ten> [<unit>];
<part> = a (half | quarter | eighth | sixteenth) | three (quarters | eighths | sixteenths)
       | (five | seven) (eighths | sixteenths) | (nine | eleven | thirteen | fifteen) sixteenths;
public <measure> = <whole> [and <part>] [degrees | inches] | <part>;
"""
"""A few thousand spoken measures; hearing the right one out of them is no accident."""


def recognize(samples: NDArray[np.int16], jsgf: str = MEASURES) -> str:
    """The words of 16 kHz mono speech under a JSGF grammar, or nothing when none fits."""
    decoder = Decoder(samprate=RATE, lm=None, loglevel="FATAL")
    decoder.add_jsgf_string("grammar", jsgf)
    decoder.activate_search("grammar")
    decoder.start_utt()
    decoder.process_raw(padded(samples).tobytes(), full_utt=True)
    decoder.end_utt()
    hypothesis = decoder.hyp()
    return hypothesis.hypstr if hypothesis else ""


def padded(samples: NDArray[np.int16], seconds: float = 0.3) -> NDArray[np.int16]:
    """Speech with a little silence on both sides, which recognizers need."""
    edge = np.zeros(round(seconds * RATE), np.int16)
    return np.concatenate([edge, samples, edge])
