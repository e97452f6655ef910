"""A turn put into words, screen and what is listened for."""

from __future__ import annotations

import traceback
from dataclasses import replace

from bench.core.notes import BenchError, Note
from bench.dialogue.effects import Earcon, Effect, Listen, Say, Show, Tone, View
from bench.dialogue.knowledge import Knowledge
from bench.dialogue.prompt import Prompt, Turn
from bench.dialogue.reask import current_prompt
from bench.dialogue.sayable import phrases
from bench.dialogue.state import State
from bench.job.records import Record, RecordKind
from bench.language.grammar import choice_phrases
from bench.language.lexicon import offered
from bench.language.meaning import NUMBERS, Expectation, Kind
from bench.language.speak import spoken
from bench.language.write import written

PAUSED = Expectation(Kind.COMMAND, commands=("start_listening",), paused=True)
"""What can be said while listening is paused."""


def effects_of(turn: Turn, knowledge: Knowledge) -> list[Effect]:
    """Records first, then voice, screen and ears, all made from the new state alone."""
    state, prompt = turn.state, current_prompt(turn.state, knowledge)
    words = words_of(turn, prompt)
    said = " ".join(_sentence(spoken(note, state.units)) for note in words)
    effects: list[Effect] = [*turn.records, *turn.effects]
    if prompt.stuck:
        detail: dict[str, object] = {"stage": str(state.now.stage), "said": said, "why": _cause(prompt.stuck)}
        effects.append(Record(RecordKind.STUCK, detail))
    if said and not state.quiet:
        effects.append(Say(said))
    elif said and turn.ask:
        effects.append(Earcon(Tone.HEARD))
    effects.append(Show(_view(state, prompt, said, knowledge)))
    effects.append(Listen(PAUSED if state.paused else prompt.expect))
    return effects


def _cause(error: Exception) -> str:
    """What was raised, and where."""
    frame = traceback.extract_tb(error.__traceback__)[-1]
    what = written(error.message) if isinstance(error, BenchError) else repr(error)
    return f"{what} ({frame.name}, line {frame.lineno})"


def words_of(turn: Turn, prompt: Prompt) -> tuple[Note, ...]:
    """What is said after a turn: what led there, then as much of the prompt as it asks for."""
    if not turn.ask or turn.state.paused:
        return turn.lead
    if turn.short:
        return (*turn.lead, *(prompt.again or prompt.ask))
    return (*turn.lead, *prompt.ask, *(() if turn.repeated else prompt.once))


def _view(state: State, prompt: Prompt, said: str, knowledge: Knowledge) -> View:
    """The prompt's screen with what was said and heard, what can be said now, and what is wrong."""
    expect = PAUSED if state.paused else prompt.expect
    notice = (state.notice,) if state.notice else ()
    choices = _choices(expect, knowledge) if state.aside is None else ()
    return replace(
        prompt.view,
        lines=(*(() if choices else prompt.view.lines), *notice),
        say=phrases(expect, knowledge),
        choices=prompt.view.choices or choices,
        phrases=_phrases(expect, knowledge),
        typed=expect.kind in NUMBERS,
        said=said,
        heard=state.heard,
        paused=state.paused,
        troubles=tuple(message for _, message in state.troubles),
    )


def _choices(expect: Expectation, knowledge: Knowledge) -> tuple[str, ...]:
    """The answers there are, where they are all that is asked for."""
    if expect.kind not in (Kind.CHOICE, Kind.SIZE):
        return ()
    return tuple(offered(choice_phrases(expect, knowledge.lexicon)[key][0]) for key in expect.choices)


def _phrases(expect: Expectation, knowledge: Knowledge) -> tuple[str, ...]:
    """Everything that can be said as it stands: answers, then commands, except those with a number in them."""
    answers = [offered(choice_phrases(expect, knowledge.lexicon)[key][0]) for key in expect.choices]
    commands = [knowledge.lexicon.commands[key][0] for key in expect.commands]
    return (*answers, *(offered(phrase) for phrase in commands if "{" not in phrase))


def _sentence(words: str) -> str:
    return words[:1].upper() + words[1:]
