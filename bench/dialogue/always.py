"""Commands that work in every state (the laws of the dialogue)."""

from __future__ import annotations

QUESTIONS = (
    "tape_end_question",
    "explain",
    "hook_question",
    "point_question",
    "turn_question",
    "cut_question",
    "how_to_measure",
    "why_angle",
    "how_much_bend",
    "next_mark_place",
    "whats_left",
)
"""What is answered in a sentence, from the plan in hand or the glossary."""

LOOKS = ("dark_colors", "light_colors", "sunlight_colors", "bigger", "smaller")
"""How the screen looks. They work in every state, and come last in what is read out of what can be said."""

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
    "read_marks",
    *QUESTIONS,
    "teach_me",
    "cancel",
    "start_over",
    "goodbye",
    *LOOKS,
)

PACE = ("marks_together", "marks_apart", "steps_together", "steps_apart")
"""How much is said and done at once: remembered."""

UNITS = ("switch_metric", "switch_inches")
"""Inches or metric: valid while a stick has no bends."""

SETTINGS = (*UNITS, "quiet_mode", "voice_mode", *PACE)
"""Valid between bends, where nothing is at stake."""

WORKING = ("change", "next_mark_distance", "degrees_left", "quiet_mode", "voice_mode", *PACE)
"""Valid while marking and bending."""

NAMING = ("name_job", "name_place", "name_run")
"""Names of jobs, places and runs."""

NAMES = (*NAMING, "find_job", "list_jobs")
"""Names of jobs, places and runs, and finding them again."""

BETWEEN = (
    *SETTINGS,
    "degrees_left",
    "new_stick",
    "new_run",
    "finish",
    "sheet",
    "materials",
    *NAMES,
    "learned",
    "unlearn",
    "box_to_box",
    "match_bend",
    "match_curve",
    "holes",
    "compound",
    "concentric",
    "calibrate",
    "set_up",
)
"""Valid while a bend is picked, and after one."""

USEFUL = (
    *(
        "done",
        "skip_check",
        "skip_checks",
        "same_again",
        "add_bend",
        "new_stick",
        "finish",
        "remake",
        "change",
    ),
    *("skip_lesson", "read_marks", "undo", "repeat", "stop_listening", "goodbye"),
)
"""What helps most, in this order: told first to one who asks what can be said, and shown first."""
