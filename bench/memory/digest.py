"""A digest beside every row that others build on: a row that was changed by damage is never used."""

from __future__ import annotations

import hashlib

_LENGTH = 16


def digest(detail: str) -> str:
    """The digest of a row's text: the first 64 bits of its SHA-256, hexadecimal."""
    return hashlib.sha256(detail.encode()).hexdigest()[:_LENGTH]
