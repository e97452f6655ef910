"""An earlier job was found: its bends again, a stick at a time, each read back before it is marked."""

from __future__ import annotations

from dataclasses import replace

from bench.dialogue.always import ALWAYS
from bench.dialogue.effects import View
from bench.dialogue.knowledge import Knowledge
from bench.dialogue.prompt import Prompt, Turn
from bench.dialogue.stages.sticks import new_stick
from bench.dialogue.state import Stage, State
from bench.job.model import JobStick
from bench.job.records import Record, RecordKind
from bench.language.meaning import Expectation, Kind, Meaning
from bench.language.speak import spoken_size


def prompt(state: State, knowledge: Knowledge) -> Prompt:
    """What was found, and whether to bend the same again."""
    place = state.now
    ask = knowledge.note("found", name=place.found_as, sticks=len(place.found))
    view = View(
        verb=knowledge.verbs["found"],
        number=f"{len(place.found)} ×",
        title=place.found_as,
        lines=tuple(_line(stick, knowledge) for stick in place.found),
    )
    return Prompt((ask,), view, Expectation(Kind.YESNO, commands=ALWAYS))


def take(state: State, meaning: Meaning, knowledge: Knowledge) -> Turn:
    """Yes begins with the first stick, on its own conduit and bender; no goes back."""
    place = state.now
    home = replace(place, stage=place.came_from or Stage.PICK, came_from=None, found=(), found_as="")
    if not meaning.value:
        return Turn(state.moved(home))
    again = replace(home, again=place.found, again_from=place.found_as)
    turn = new_stick(replace(state, now=again), knowledge)
    past = state.moved(again).past
    record = Record(RecordKind.SAME_AGAIN, {"job": place.found_as, "sticks": len(place.found)})
    return replace(turn, state=replace(turn.state, past=past), records=(*turn.records, record))


def _line(stick: JobStick, knowledge: Knowledge) -> str:
    """A stick on the screen: its conduit and bends."""
    names = ", ".join(knowledge.flows[bend.kind].name for bend in stick.bends if bend.kind in knowledge.flows)
    tools = (
        f"{spoken_size(stick.tools.size)} {knowledge.word(stick.tools.conduit)}: " if stick.tools.size else ""
    )
    return f"{tools}{names}"
