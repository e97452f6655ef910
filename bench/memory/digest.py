"""Digests stored with the rows, so that a corrupted row is never used."""

from __future__ import annotations

import hashlib

_LENGTH = 16


def digest(detail: str) -> str:
    """The digest of a row's text: the first 64 bits of its SHA-256, hexadecimal."""
    return hashlib.sha256(detail.encode()).hexdigest()[:_LENGTH]
