"""Whole conversations at random: any words, keys, silences, failures and restarts, in any state.

    python -m tests.benchmarks.fuzz --conversations 2000 --steps 150 --seed 1

What must hold at every step (the laws of the dialogue):

* no exception, and the same state and event always lead to the same;
* no bend is marked, no correction made, no bender kept and no pipe of a rack shifted before its numbers were
  read back and an explicit yes was given to that very read-back: the values of the last one, not its words, are
  those that are used;
* silence, noise, what is not understood, and failures and recoveries move nothing;
* paused acts on nothing that is said but the wake phrase;
* the state outlives being written down and read back;
* the voice is never given a digit or a fraction mark, and the screen says what the voice says.

A conversation that breaks one is printed with its seed and its last events, and the exit code is 1.
"""

from __future__ import annotations

import argparse
import json
import re
import sys
import time
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction
from random import Random

from bench.core.bender import Bender
from bench.core.learned import Evidence
from bench.core.notes import Value
from bench.data.bundle import knowledge
from bench.dialogue.effects import FindJobs, Finish, Listen, Say, Show
from bench.dialogue.events import (
    Event,
    Failed,
    FoundJob,
    JobsFound,
    Key,
    Pressed,
    Recovered,
    Said,
    Silence,
    Started,
)
from bench.dialogue.in_hand import steps_of
from bench.dialogue.knowledge import Knowledge
from bench.dialogue.machine import expectation, initial, reply, respond, step
from bench.dialogue.state import Place, Stage, State, state_from_json, state_to_json
from bench.job.layout import bender_of
from bench.job.learning import Learning, is_learned
from bench.job.model import JobBend, JobStick, Profile, Tools
from bench.language.grammar import grammar, vocabulary
from bench.language.meaning import Expectation, Heard, Hypothesis, Kind, Meaning, typed
from bench.language.sentences import samples
from bench.language.understand import understand

UNSPEAKABLE = re.compile(r'[0-9/"°½¼¾]')
PARTS = ("microphone", "speaker", "voice", "recognizer", "disk")
READ_BACKS = (Stage.READ_BACK, Stage.RACK_READ_BACK, Stage.MEASURED, Stage.CALIBRATED, Stage.LEARNED)
UNHEARD = (Silence, Failed, Recovered)


class Broken(AssertionError):
    """An invariant is violated."""


def require(holds: bool, what: str) -> None:
    """Raise Broken unless the condition holds."""
    if not holds:
        raise Broken(what)


@dataclass
class Walk:
    """One conversation. `read` holds the values of the last read-back of each stage, by note and name; `confirmed`
    what a yes was given to."""

    knowledge: Knowledge
    rng: Random
    state: State = field(default_factory=initial)
    events: list[Event] = field(default_factory=list)
    read: dict[Stage, dict[tuple[str, str], Value]] = field(default_factory=dict)
    confirmed: set[tuple[object, ...]] = field(default_factory=set)
    stages: Counter[Stage] = field(default_factory=Counter)
    finished: bool = False
    looked_for: str | None = None

    def take(self, event: Event) -> None:
        """One event: the step is taken and everything that must hold is looked at."""
        self.events.append(event)
        before = self.state
        after, effects = step(before, event, self.knowledge)
        self.stages[after.now.stage] += 1
        self._look_at_effects(effects, after)
        self._look_at_moves(before, event, after)
        self._look_at_numbers(before, event, after)
        self._listen_to_read_backs(before, event, after)
        if self.rng.random() < 0.1:
            self._look_at_repeats(before, event, after)
        self.state = after
        self.finished = any(isinstance(effect, Finish) for effect in effects)
        self.looked_for = next((effect.asked for effect in effects if isinstance(effect, FindJobs)), None)

    def accept(self, state: State) -> None:
        """The bends of a state that the walk begins at: they were read back before."""
        self.confirmed |= {_bend_key(state.now.stick.tools, bend) for bend in state.now.stick.bends}

    def _look_at_effects(self, effects: tuple[object, ...], after: State) -> None:
        words = " ".join(effect.words for effect in effects if isinstance(effect, Say))
        views = [effect.view for effect in effects if isinstance(effect, Show)]
        require(not UNSPEAKABLE.search(words), f"the voice was given {words!r}")
        require(len(views) == 1, f"{len(views)} screens at once")
        require(views[0].verb != self.knowledge.verbs["stuck"], "a step that cannot be shown")
        require(
            sum(isinstance(effect, Listen) for effect in effects) == 1,
            "the ears were not told what to expect",
        )
        require(after.quiet or views[0].said == words, f"screen {views[0].said!r} and voice {words!r} differ")
        require(views[0].paused == after.paused, "paused is not shown")
        require(not (after.quiet and words), f"quiet, but {words!r}")
        for one in [entry for entry in effects if hasattr(entry, "detail")]:
            json.dumps(one.detail)

    def _listen_to_read_backs(self, before: State, event: Event, after: State) -> None:
        """What a read-back told, as values: a re-ask ("Did you say yes?") tells none and leaves the last as it was."""
        if after.now.stage not in READ_BACKS or after.paused or after.aside is not None:
            return
        turn = respond(before, event, self.knowledge)
        if turn.ask and not turn.short:
            notes = reply(turn, self.knowledge)
            self.read[after.now.stage] = {
                (note.code, name): value for note in notes for name, value in note.values.items()
            }

    def _look_at_moves(self, before: State, event: Event, after: State) -> None:
        if isinstance(event, UNHEARD):
            require(
                after.now == before.now and after.past == before.past, f"{type(event).__name__} moved the job"
            )
        if isinstance(event, Said):
            meaning = understand(
                event.heard, expectation(before, self.knowledge), self.knowledge.lexicon, over=True
            ).meaning
            if meaning is None:
                require(after.now == before.now, "what was not understood moved the job")
            if before.paused and meaning != Meaning(Kind.COMMAND, "start_listening"):
                require(after.now == before.now and after.paused, "acted while paused")

    def _look_at_numbers(self, before: State, event: Event, after: State) -> None:
        yes = self._is_yes(before, event)
        for bend in after.now.stick.bends:
            key = _bend_key(after.now.stick.tools, bend)
            if key not in self.confirmed:
                require(
                    yes and before.now.stage in (Stage.READ_BACK, Stage.RACK_READ_BACK),
                    f"{bend} without a yes",
                )
                told = {(measure, "value"): value for measure, value in bend.measures.items()}
                self._read_back(before, told, f"{bend}")
                self.confirmed.add(key)
        if after.now.stick.shift and after.now.stage is Stage.WORK:
            shift = after.now.stick.shift
            self._once(before, yes, Stage.RACK_READ_BACK, ("shift", shift), {("rack_shift", "shift"): shift})
        measured = before.now.measured
        for observed in after.now.observed:
            if observed == measured:
                code = "measured_down" if observed[1] < 0 else "measured"
                size = -observed[1] if observed[1] < 0 else observed[1]
                self._once(before, yes, Stage.MEASURED, ("observed", observed), {(code, "value"): size})
            elif observed not in before.now.observed:
                self._not_spoken(before, observed[0])
        for profile in after.profiles:
            if ("profile", profile) in self.confirmed:
                continue
            stage = Stage.LEARNED if is_learned(profile) else Stage.CALIBRATED
            require(before.now.stage is stage, f"{profile} kept at {before.now.stage}")
            numbers = self._numbers_of(profile, before.now.tools)
            self._once(before, yes, stage, ("profile", profile), numbers)

    def _numbers_of(self, profile: Profile, tools: Tools) -> dict[tuple[str, str], Value]:
        """What must have been read back of a bender: all of one measured, of one learned what it changes."""
        if not is_learned(profile):
            names = ("take_up", "gain", "springback")
            return {("calibrated", name): getattr(profile, name) for name in names}
        used = bender_of(tools, self.knowledge)
        both = profile.springback != used.springback
        code = "learned_both" if both else "learned_take_up"
        numbers: dict[tuple[str, str], Value] = {(code, "take_up"): profile.take_up}
        if both:
            numbers[code, "springback"] = profile.springback
        if profile.gain != used.gain:
            numbers["learned_gain", "gain"] = profile.gain
        if profile.hand != used.hand:
            way = "over" if profile.hand > 0 else "under" if profile.hand < 0 else "even"
            numbers[f"learned_{way}", "hand"] = abs(profile.hand)
        return numbers

    def _once(
        self,
        before: State,
        yes: bool,
        stage: Stage,
        key: tuple[object, ...],
        numbers: Mapping[tuple[str, str], Value],
    ) -> None:
        if key in self.confirmed:
            return
        require(yes and before.now.stage is stage, f"{key} used without a yes at {stage}")
        self._read_back(before, numbers, f"{key}")
        self.confirmed.add(key)

    def _not_spoken(self, before: State, check: str) -> None:
        """A reading that nobody spoke is the planned one, of a check that fits, or what an advised change comes to."""
        stage = before.now.stage
        if stage is Stage.TWEAK:
            return
        require(stage is Stage.WORK, f"a reading of {check} out of nothing at {stage}")
        asked = steps_of(before, self.knowledge)[before.now.at].check
        require(asked is not None and asked.key == check, f"{check} was not what was asked")

    def _read_back(self, before: State, numbers: Mapping[tuple[str, str], Value], what: str) -> None:
        told = self.read.get(before.now.stage, {})
        for key, number in numbers.items():
            require(told.get(key) == number, f"{what}: {key} is {number}, last read back was {told.get(key)}")

    def _is_yes(self, before: State, event: Event) -> bool:
        if isinstance(event, Pressed):
            return event.key in (Key.YES, Key.NEXT)
        if not isinstance(event, Said):
            return False
        meaning = understand(
            event.heard, expectation(before, self.knowledge), self.knowledge.lexicon, over=True
        ).meaning
        return meaning is not None and meaning.kind is Kind.YESNO and meaning.value is True

    def _look_at_repeats(self, before: State, event: Event, after: State) -> None:
        require(step(before, event, self.knowledge)[0] == after, "the same step led elsewhere")
        written = json.loads(json.dumps(state_to_json(after)))
        again = state_from_json(written)
        require(_lasting(again) == _lasting(after), "the state did not outlive being written down")

    # -- what happens ---------------------------------------------------------------------------------------

    def event(self) -> Event:
        """What was looked up is there; else something that can happen."""
        if self.looked_for is not None:
            return JobsFound(self.looked_for, self._kept(self.looked_for))
        expect = expectation(self.state, self.knowledge)
        if "find_job" in expect.commands and not self.state.paused and self.rng.random() < 0.05:
            return Said(typed("find boiler room two"))
        return self._anything(expect)

    def _anything(self, expect: Expectation) -> Event:
        """A possible event. Events that advance the dialogue are more likely."""
        luck = self.rng.random()
        if self.state.now.stage is Stage.WORK and luck < 0.7:
            if expect.kind is Kind.COMMAND or self.state.paused:
                return Said(typed("next"))
            return Said(typed("it fits") if luck < 0.45 else self._heard(self._answer(expect)))
        if luck < 0.50:
            return Said(self._heard(self._answer(expect)))
        if luck < 0.66:
            return Pressed(Key.NEXT) if expect.kind is not Kind.YESNO else Said(typed("yes"))
        if luck < 0.78:
            return Said(self._heard(self._phrase(expect)))
        if luck < 0.84:
            return Said(self._noise())
        if luck < 0.90:
            return Pressed(self.rng.choice([key for key in Key if key is not Key.QUIT]))
        if luck < 0.94:
            return Silence(self.rng.uniform(1, 500))
        if luck < 0.98:
            part = self.rng.choice(PARTS)
            lost = (
                Failed(part, f"The {part} is gone.", "Plug it in."),
                Recovered(part, f"The {part} is back."),
            )
            return self.rng.choice(lost)
        self._restart()
        return Started(unfinished=True)

    def _kept(self, asked: str) -> tuple[FoundJob, ...]:
        """Jobs as they may be kept: one of the name looked for, one without sticks, or none."""
        sticks = (JobStick("1", (LISTED,), tools=Tools("emt", "3/4")), JobStick("2"))
        several = (FoundJob(90, asked, "", 3, sticks), FoundJob(91, "Barn", asked, 0, ()))
        return several[: self.rng.randint(0, 2)] if self.rng.random() < 0.5 else several[::-1]

    def _restart(self) -> None:
        self.state = state_from_json(json.loads(json.dumps(state_to_json(self.state))))

    def _answer(self, expect: Expectation) -> tuple[str, ...]:
        """An answer to the question itself, where it is one."""
        if expect.kind is Kind.COMMAND or expect.paused:
            return self._phrase(expect)
        return self._phrase(replace(expect, commands=()))

    def _phrase(self, expect: Expectation) -> tuple[str, ...]:
        tree = grammar(expect, self.knowledge.lexicon)
        return tuple(samples(tree, 1, self.rng)[0].words)

    def _heard(self, words: tuple[str, ...]) -> Heard:
        """Usually a high confidence; sometimes a low one with an alternative."""
        if self.rng.random() < 0.85:
            return Heard((Hypothesis(words, 1.0),), 1.0)
        other = self._phrase(expectation(self.state, self.knowledge))
        first = Hypothesis(words, self.rng.random())
        return Heard((first, Hypothesis(other, first.confidence * self.rng.random())), 1.0)

    def _noise(self) -> Heard:
        words = sorted(vocabulary(self.knowledge.lexicon))
        said = tuple(self.rng.choice(words) for _ in range(self.rng.randint(0, 8)))
        return Heard((Hypothesis(said, self.rng.random()),) if said else (), 0.5)


def _bend_key(tools: Tools, bend: JobBend) -> tuple[object, ...]:
    return (tools, bend.kind, frozenset(bend.measures.items()))


def _lasting(state: State) -> State:
    return replace(state, aside=None, attempts=0, reminded=False, helped=0, heard="", troubles=(), learned=())


LISTED = JobBend("offset", (("distance", Fraction(40)), ("rise", Fraction(6)), ("angle", 30.0)))


def beginnings(rng: Random) -> State:
    """A new user, taught or not; one whose bender is known from earlier days, set up or not; one with a list."""
    luck = rng.random()
    if luck < 0.5:
        return initial(taught=rng.random() < 0.7)
    if luck < 0.75:
        return replace(initial(queue=(JobStick("A", (LISTED, LISTED)),)), now=Place())
    place = Place(Stage.PICK, tools=Tools("emt", rng.choice(("1/2", "3/4")))) if luck < 0.9 else Place()
    return replace(initial(), now=place, learned=learned_before(rng))


def learned_before(rng: Random) -> tuple[Learning, ...]:
    """What bends of earlier days taught of every typical bender: it takes up more, springs back, and is bent beyond.

    Sometimes enough to be offered after the next bend, sometimes not yet.
    """
    return tuple(
        Learning("typical", kind, size, tuple(_taught(bender, number) for number in range(rng.randint(2, 6))))
        for (kind, size), bender in knowledge().typical.items()
    )


def _taught(bender: Bender, number: int) -> Evidence:
    """One bend's evidence: each of the four numbers seen by itself, half an inch, 3 and 1 degrees off typical."""
    weights = (40.0, 9.0, 0.4, 0.4)
    true = (float(bender.take_up) + 0.5, bender.radius, 3.0, 1.0)
    upper = tuple(weights[i] if i == j else 0.0 for i in range(4) for j in range(i, 4))
    first, second, third, fourth = (weight * value for weight, value in zip(weights, true, strict=True))
    return Evidence(("0", str(number), "1", "0"), upper, (first, second, third, fourth))


def converse(seed: int, steps: int) -> Walk:
    """One conversation of that many steps, or until goodbye. Raises Broken, or what the dialogue raised."""
    rng = Random(seed)
    walk = Walk(knowledge(), rng, beginnings(rng))
    try:
        walk.take(Started())
        for _ in range(steps):
            if walk.finished:
                break
            walk.take(walk.event())
    except Exception as error:
        last = "\n  ".join(map(repr, walk.events[-8:]))
        error.add_note(f"seed {seed}, step {len(walk.events)}, state {walk.state.now}\n  {last}")
        raise
    return walk


def main() -> int:
    """Run many and count where they have been."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--conversations", type=int, default=300)
    parser.add_argument("--steps", type=int, default=120)
    parser.add_argument("--seed", type=int, default=1)
    args = parser.parse_args()
    been: Counter[Stage] = Counter()
    faults: Counter[str] = Counter()
    taken, began = 0, time.monotonic()
    for seed in range(args.seed, args.seed + args.conversations):
        try:
            walk = converse(seed, args.steps)
        except Exception as error:
            name = f"{type(error).__name__}: {str(error)[:100]}"
            if not faults[name]:
                print(name, *getattr(error, "__notes__", ()), sep="\n", flush=True)
            faults[name] += 1
            continue
        taken += len(walk.events)
        been.update(walk.stages)
    seconds = time.monotonic() - began
    print(
        f"{args.conversations} conversations, {taken} events, {seconds:.0f} s, {sum(faults.values())} broken"
    )
    print("stages reached:", ", ".join(f"{stage} {count}" for stage, count in been.most_common()))
    print("stages never reached:", ", ".join(set(Stage) - set(been)) or "none")
    for name, count in faults.most_common():
        print(f"{count:>6}  {name}")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
