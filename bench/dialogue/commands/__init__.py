"""What each command does: always valid ones, and those valid where the stage says so. One table."""

from __future__ import annotations

from bench.core.lengths import Units
from bench.dialogue import answers, lesson, naming, sayable
from bench.dialogue.commands import beginning, leaving, moves, reports, settings
from bench.dialogue.effects import Look, Tuning
from bench.dialogue.knowledge import Knowledge
from bench.dialogue.prompt import Command, Turn
from bench.dialogue.state import Stage, State
from bench.language.meaning import Meaning


def run_command(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """Do what a command says. The caller has made sure that it is valid now."""
    if lesson.taught(state) and meaning.value in lesson.COMMANDS:
        return lesson.COMMANDS[str(meaning.value)](state, knowledge)
    return COMMANDS[str(meaning.value)](state, meaning, knowledge)


COMMANDS: dict[str, Command] = {
    "repeat": moves.repeat,
    "next": moves.go_on,
    "back": moves.go_back,
    "change": moves.change,
    "undo": moves.undo,
    "cancel": leaving.cancel,
    "start_over": leaving.start_over,
    "done": moves.go_on,
    "where_am_i": reports.where_am_i,
    "what_can_i_say": sayable.told,
    "more": sayable.more,
    "read_marks": reports.read_marks,
    "marks_together": settings.change_pace("marks_row", row=True),
    "marks_apart": settings.change_pace("marks_single", row=False),
    "steps_together": settings.change_pace("steps_joined", apart=False),
    "steps_apart": settings.change_pace("steps_single", apart=True),
    "skip_check": moves.skip_check,
    "skip_checks": moves.skip_checks,
    "mark_question": reports.mark_question,
    "explain": answers.explain,
    "tape_end_question": answers.tape_end,
    "hook_question": answers.hook,
    "point_question": answers.point,
    "turn_question": answers.turn,
    "cut_question": answers.cut,
    "how_to_measure": answers.how_to_measure,
    "why_angle": answers.why_angle,
    "how_much_bend": answers.how_much,
    "next_mark_place": answers.next_mark,
    "whats_left": answers.whats_left,
    "teach_me": lesson.teach,
    "skip_lesson": moves.repeat,
    "name_job": naming.name_job,
    "name_place": naming.name_place,
    "name_run": naming.name_run,
    "find_job": naming.find_job,
    "list_jobs": naming.list_jobs,
    "next_mark_distance": reports.next_mark_distance,
    "degrees_left": reports.degrees,
    "materials": reports.materials,
    "sheet": reports.sheet,
    "stop_listening": settings.pause,
    "start_listening": settings.listen,
    "louder": settings.tune(Tuning.VOLUME, +1, "louder"),
    "quieter": settings.tune(Tuning.VOLUME, -1, "quieter"),
    "faster": settings.tune(Tuning.RATE, +1, "faster"),
    "slower": settings.tune(Tuning.RATE, -1, "slower"),
    "hush": settings.hush,
    "switch_metric": settings.switch_units(Units.METRIC, "metric_on"),
    "switch_inches": settings.switch_units(Units.INCH, "inches_on"),
    "dark_colors": settings.restyle(Look.DARK),
    "light_colors": settings.restyle(Look.LIGHT),
    "sunlight_colors": settings.restyle(Look.SUNLIGHT),
    "bigger": settings.restyle(Look.BIGGER),
    "smaller": settings.restyle(Look.SMALLER),
    "quiet_mode": settings.switch_quiet(True, "quiet_on"),
    "voice_mode": settings.switch_quiet(False, "quiet_off"),
    "box_to_box": beginning.to_stage(Stage.BOXES),
    "learned": beginning.ask_learned,
    "unlearn": beginning.unlearn,
    "match_bend": beginning.begin_site("match"),
    "match_curve": beginning.begin_site("curve"),
    "holes": beginning.begin_site("holes"),
    "compound": beginning.begin_site("compound"),
    "concentric": beginning.begin_site("concentric"),
    "calibrate": beginning.other_tools(Stage.TEST_BEND),
    "set_up": beginning.other_tools(Stage.CONDUIT),
    "same_again": beginning.same_again,
    "new_run": beginning.to_stage(Stage.RUN),
    "finish": leaving.finish_job,
    "add_bend": beginning.add_bend,
    "new_stick": beginning.new_stick,
    "remake": beginning.make_again,
    "goodbye": leaving.goodbye,
}
