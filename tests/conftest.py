"""Fixtures for every package."""

from __future__ import annotations

import os
from collections.abc import Iterator

os.environ.setdefault(
    "OPENBLAS_NUM_THREADS", "1"
)  # two workers with two threads each only wait for one another

import pytest
from hypothesis import settings

from tests.audio_rig import AudioRig
from tests.examples import examples


@pytest.fixture(scope="session")
def audio_rig() -> Iterator[AudioRig]:
    """A virtual microphone and loudspeaker, one for the whole run; see `tests/audio_rig.py`."""
    with AudioRig() as rig:
        yield rig


@pytest.fixture
def own_rig() -> Iterator[AudioRig]:
    """A virtual microphone and loudspeaker for this test alone, which may pull them out or kill them."""
    with AudioRig() as rig:
        yield rig


settings.register_profile("shop", deadline=None, max_examples=examples(100))
settings.load_profile("shop")
"""A busy machine is not a failure: no test is judged by its time."""
