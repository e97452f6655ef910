"""Finds the espeak-ng library on Linux, in the system or in a wheel.

espeak-ng is licensed GPL-3.0-or-later. It is loaded only in the helper process that renders speech, from the
system package or from the optional extra `voice` (espeakng-loader).
"""

from __future__ import annotations

import ctypes
import os
import sys

SONAME = "libespeak-ng.so.1"
REMEDY = "Run: sudo apt-get install libespeak-ng1"


def make_espeak_available() -> None:
    """Load the wheel's library under the name pyttsx3 asks for, when the system has none.

    The loader finds an already loaded library by its SONAME, so pyttsx3's own search then succeeds. Call this before
    pyttsx3 is imported. Does nothing outside Linux or when neither is installed; pyttsx3 then reports it.
    """
    if not sys.platform.startswith("linux") or _loads(SONAME):
        return
    try:
        import espeakng_loader
    except ImportError:
        return
    os.environ["ESPEAK_DATA_PATH"] = espeakng_loader.get_data_path()
    _loads(espeakng_loader.get_library_path())


def _loads(name: str) -> bool:
    try:
        ctypes.CDLL(name, mode=ctypes.RTLD_GLOBAL)
    except OSError:
        return False
    return True
