"""The measures in words, for messages, and their keys as written."""

from __future__ import annotations

_SPELLINGS = {"to_centre": "to_center"}

LABELS = {
    "distance": "distance",
    "rise": "rise",
    "angle": "angle",
    "to_center": "distance to the center",
    "to_edge": "distance to the near edge",
    "height": "height",
    "width": "width",
    "gap": "gap",
    "roll": "sideways shift",
    "to_box": "first mark",
    "spacing": "spacing",
    "count": "number of conduits",
    "radius": "radius",
    "shots": "number of shots",
    "to_end": "distance to the far end",
    "leg": "other leg",
    "stub": "stub",
    "start": "straight before the bend",
    "round": "roundness",
    "row": "number in the row",
    "pitch": "pitch of the row",
}

NAMES = {
    "offset": "offset",
    "saddle3": "three-point saddle",
    "saddle4": "four-point saddle",
    "stub": "stub",
    "back-to-back": "back-to-back bend",
    "kick": "kick",
    "rolling": "rolling offset",
    "box-offset": "box offset",
    "parallel": "parallel bend",
    "segmented": "segmented bend",
}


def measure_key(written: str) -> str:
    """The key of a measure however it is spelled: `to_centre` is `to_center`, in lists and in older jobs."""
    return _SPELLINGS.get(written, written)
