"""The format of sound between the microphone and the recognizers: mono, 16 bit, 16 kHz."""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

RATE = 16_000
"""Samples per second of all sound after the microphone."""

Samples: TypeAlias = NDArray[np.int16]
"""Mono 16-bit sound at `RATE`."""
