"""Sound as it is between the microphone and the recognizers: mono, 16 bit, 16 kHz."""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

RATE = 16_000
"""Samples a second everywhere behind the microphone."""

Samples: TypeAlias = NDArray[np.int16]
"""Mono sound at `RATE`, 16 bit."""
