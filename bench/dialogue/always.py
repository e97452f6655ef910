"""Commands that work in every state (the laws of the dialogue)."""

from __future__ import annotations

ALWAYS = (
    "next",
    "back",
    "repeat",
    "where_am_i",
    "what_can_i_say",
    "undo",
    "stop_listening",
    "start_listening",
    "louder",
    "quieter",
    "slower",
    "faster",
    "hush",
    "mark_question",
    "cancel",
    "start_over",
    "goodbye",
)

SETTINGS = ("switch_metric", "switch_inches", "quiet_mode", "voice_mode")
"""Valid between bends, where nothing is at stake."""

WORKING = ("change", "next_mark_distance", "degrees_left", "quiet_mode", "voice_mode")
"""Valid while marking and bending."""

BETWEEN = (
    *SETTINGS,
    "degrees_left",
    "new_stick",
    "new_run",
    "finish",
    "sheet",
    "materials",
    "calibrate",
    "set_up",
)
"""Valid while a bend is picked, and after one."""
