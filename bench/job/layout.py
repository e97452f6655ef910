"""Laying out a job: the one function that voice, screen, lists, exports and paper all draw from."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache
from itertools import takewhile
from typing import Protocol, TypeVar

from bench import __version__
from bench.core.bender import Bender, Setup
from bench.core.bends import work_out
from bench.core.code import CodeLimits
from bench.core.conduit import Conduit
from bench.core.lengths import tape_scale
from bench.core.notes import BenchError, Note
from bench.core.plan import Mark, Plan
from bench.core.run import Run, Section, plan_run
from bench.core.stick import OnStick, Stick, lay_out, same_again
from bench.core.trade import Trade
from bench.job.model import Job, JobBend, JobStick, Profile, Spoken, SpokenMark, Tools, of_stick


class Tables(Protocol):
    """What a layout needs of the shared data: conduits and typical benders by (kind, trade size)."""

    @property
    def conduits(self) -> Mapping[tuple[str, str], Conduit]: ...
    @property
    def typical(self) -> Mapping[tuple[str, str], Bender]: ...
    @property
    def trade(self) -> Trade: ...
    @property
    def limits(self) -> CodeLimits: ...


@dataclass(frozen=True, slots=True)
class LaidStick:
    """A stick of a job with its marks.

    `stick` is None where the job does not tell enough to work out marks: `notes` say what is missing. Marks
    are those that were spoken, where they are kept; `differs` tells that this version of Bench would work
    them out differently.
    """

    asked: JobStick
    stick: Stick | None
    differs: bool = False
    notes: tuple[Note, ...] = ()

    @property
    def marked(self) -> tuple[int, ...]:
        """Numbers of the marks that are drawn."""
        return tuple(sorted({*self.asked.marked, *self._made()}))

    @property
    def bent(self) -> tuple[int, ...]:
        """Numbers of the marks that are bent."""
        return tuple(sorted({*self.asked.bent, *self._made()}))

    def _made(self) -> tuple[int, ...]:
        """Marks of finished bends: what an earlier version did not record of the steps is in them."""
        owners = enumerate(self.stick.whose if self.stick else (), start=1)
        return tuple(number for number, owner in owners if self.asked.bends[owner].finished)


@dataclass(frozen=True, slots=True)
class JobLayout:
    """A whole job laid out, with what its runs come to."""

    job: Job
    sticks: tuple[LaidStick, ...]
    run: Run


def lay_out_job(job: Job, tables: Tables) -> JobLayout:
    """Every stick of a job with its marks, and its runs.

    Raises BenchError naming the stick when what was asked for cannot be made and was never spoken.
    """
    laid = tuple(_laid_or_named(stick, tables) for stick in job.sticks)
    return JobLayout(job, laid, plan_run(_sections(laid), tables.limits))


def lay_out_stick(stick: JobStick, tables: Tables) -> LaidStick:
    """One stick with its marks, as spoken where they were. Raises BenchError when it cannot be made."""
    if stick.not_recorded and not _known(stick):
        return LaidStick(stick, None, notes=_notes(stick, False))
    setup = setup_of(stick, tables)
    try:
        fresh = laid_out(stick, setup)
    except BenchError as error:
        if stick.spoken is None:
            raise
        return LaidStick(stick, from_spoken(stick, setup), True, (*_notes(stick, True), error.message))
    shown = as_spoken(fresh, stick.spoken)
    differs = stick.spoken is not None and spoken_now(shown) != spoken_now(fresh)
    return LaidStick(stick, shown, differs, _notes(stick, differs))


def setup_of(stick: JobStick, tables: Tables) -> Setup:
    """The tools a stick was worked out with. Raises BenchError when it does not tell which conduit."""
    key = stick.tools.conduit, stick.tools.size
    if not stick.tools.complete or key not in tables.conduits:
        message = Note(
            "no_conduit", "Stick {stick} does not say what it is bent from.", {"stick": stick.name}
        )
        raise BenchError(message, Note("say_conduit", "Give its conduit and trade size."))
    scale = tape_scale(stick.units) if stick.scale is None else stick.scale
    return Setup(tables.conduits[key], bender_of(stick.tools, tables), tables.trade, scale, stick.length)


def bender_of(tools: Tools, tables: Tables) -> Bender:
    """The bender of some tools. Raises BenchError for a profile that cannot be a bender's."""
    typical, profile = tables.typical[tools.conduit, tools.size], tools.profile
    if profile is None:
        return typical
    own = typical.measured(profile.name, profile.take_up, profile.gain, profile.springback, profile.hand)
    return replace(own, typical=profile.typical)


def tools_as_they_are(tools: Tools, tables: Tables) -> Tools:
    """The tools with the numbers of their bender written out, so that a later table changes nothing."""
    return replace(tools, profile=profile_of(bender_of(tools, tables), tools))


def profile_of(bender: Bender, tools: Tools) -> Profile:
    """The numbers of a bender for the conduit of some tools, as they are kept."""
    return Profile(
        bender.name,
        tools.conduit,
        tools.size,
        bender.take_up,
        bender.gain,
        bender.springback,
        bender.typical,
        bender.hand,
    )


def plan_of(bend: JobBend, setup: Setup) -> Plan:
    """The plan of one bend. Raises BenchError saying what would work when it cannot be made."""
    return _plan(bend.asked, setup)


def laid_out(stick: JobStick, setup: Setup, more: Sequence[JobBend] = ()) -> Stick:
    """All bends of a stick, and `more`, worked out again. Raises BenchError when they do not go together."""
    bends = tuple(bend.asked for bend in (*stick.bends, *more))
    made = sum(1 for _ in takewhile(lambda bend: bend.finished, stick.bends))
    return _laid_out(bends, stick.shift, stick.finish, setup, made)


def spoken_now(stick: Stick) -> Spoken:
    """The marks of a stick as they are about to be spoken."""
    marks = tuple(SpokenMark.of(mark, owner) for mark, owner in zip(stick.marks, stick.whose, strict=True))
    return Spoken(marks, stick.cut_at, __version__)


def as_spoken(stick: Stick, spoken: Spoken | None) -> Stick:
    """The stick with the marks that were spoken in place of those worked out now.

    Bends added since keep the marks worked out now; all are numbered again from the tape end.
    """
    if spoken is None:
        return stick
    told = {mark.owner for mark in spoken.marks}
    kept = [(mark.mark(0), mark.owner) for mark in spoken.marks]
    kept += [(mark, owner) for mark, owner in zip(stick.marks, stick.whose, strict=True) if owner not in told]
    cut_at = spoken.cut_at if told >= set(stick.whose) else stick.cut_at
    return _numbered(stick, kept, cut_at)


def _numbered(stick: Stick, marks: Sequence[tuple[Mark, int]], cut_at: Fraction | None) -> Stick:
    """The stick with these marks and their owners, numbered from the tape end."""
    along = sorted(marks, key=lambda pair: (pair[0].at, pair[0].order))
    named = tuple(replace(mark, name=str(number)) for number, (mark, _) in enumerate(along, start=1))
    whose = tuple(owner for _, owner in along)
    total = sum(mark.bend for mark in named)
    return replace(stick, marks=named, whose=whose, cut_at=cut_at, total_degrees=total)


def from_spoken(stick: JobStick, setup: Setup) -> Stick:
    """A stick from its spoken marks alone, when what was asked can no longer be worked out."""
    empty = Stick(setup, stick.length, (), (), (), None, 0.0, ())
    return as_spoken(empty, stick.spoken)


def _laid_or_named(stick: JobStick, tables: Tables) -> LaidStick:
    try:
        return lay_out_stick(stick, tables)
    except BenchError as error:
        raise of_stick(error, stick.name) from error


def _known(stick: JobStick) -> bool:
    """Whether what was recorded is enough to work out marks; without spoken ones nothing is guessed."""
    missing = set(stick.not_recorded)
    return stick.spoken is not None or not missing & {"conduit", "size", "bender", "turn", "position"}


def _notes(stick: JobStick, differs: bool) -> tuple[Note, ...]:
    notes = []
    if differs and stick.spoken is not None:
        notes.append(
            Note(
                "as_spoken",
                "These are the marks that were spoken (Bench {version}). This version works them out differently.",
                {"version": stick.spoken.version},
            )
        )
    if stick.spoken is None and stick.bent and not _known(stick):
        notes.append(Note("no_marks", "What was recorded is not enough to work out the marks."))
    elif stick.not_recorded and stick.spoken is None:
        notes.append(Note("worked_out_again", "The marks are worked out again from what was recorded."))
    return tuple(notes)


def _sections(laid: Sequence[LaidStick]) -> list[Section]:
    """The conduits of the job: sticks of one run are joined end to end; a rack's pipes lie side by side."""
    conduits: dict[tuple[str, int], list[Stick]] = {}
    for one in laid:
        if one.stick is not None:
            conduits.setdefault((one.asked.run, one.asked.pipe), []).append(one.stick)
    return [
        Section(run if pipe == 1 else f"{run}, conduit {pipe}", tuple(sticks))
        for (run, pipe), sticks in conduits.items()
    ]


def _plan(bend: JobBend, setup: Setup) -> Plan:
    return _or_raised(_plan_or_refusal(bend, setup))


def _laid_out(
    bends: tuple[JobBend, ...], shift: Fraction, finish: Fraction | None, setup: Setup, made: int
) -> Stick:
    return _or_raised(_stick_or_refusal(bends, shift, finish, setup, made))


T = TypeVar("T")


def _or_raised(found: T | BenchError) -> T:
    if isinstance(found, BenchError):
        raise found.with_traceback(None)
    return found


@lru_cache(maxsize=256)
def _plan_or_refusal(bend: JobBend, setup: Setup) -> Plan | BenchError:
    """The plan, or why there is none: what would work instead takes far longer to find than a plan."""
    try:
        return work_out(bend.kind, bend.measures, setup, bend.method)
    except BenchError as error:
        return error


@lru_cache(maxsize=256)
def _stick_or_refusal(
    bends: tuple[JobBend, ...], shift: Fraction, finish: Fraction | None, setup: Setup, made: int
) -> Stick | BenchError:
    if finish is None and bends:
        to_end = bends[-1].measures.get("to_end")
        finish = to_end if isinstance(to_end, Fraction) else None
    try:
        on_stick = [OnStick(_plan(bend, setup), bend.roll, bend.from_end) for bend in bends]
        stick = lay_out(setup, on_stick, finish=finish, made=made)
        return same_again(stick, shift, made=made) if shift else stick
    except BenchError as error:
        return error
