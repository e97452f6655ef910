"""From what was heard to what was meant: of the readings that are whole phrases the likeliest, if sure."""

from __future__ import annotations

from dataclasses import dataclass

from bench.language.grammar import WAKE, grammar, grammar_branches
from bench.language.homophones import respelled
from bench.language.lexicon import Certainty, Lexicon
from bench.language.meaning import (
    NUMBERS,
    Expectation,
    Heard,
    Hypothesis,
    Kind,
    Meaning,
    Order,
    Trouble,
    Understanding,
)
from bench.language.nodes import Utterance
from bench.language.orders import out_of_range, unlikely
from bench.language.sentences import readings
from bench.language.tidy import tidy

_LONGEST = 40
"""Words; more in one breath is talk, not an answer."""


_MANY = 12
"""Words; of more it is not asked what sounds alike: every number of it would have another, and all are read back."""


@dataclass(frozen=True, slots=True)
class _Candidate:
    """A meaning, how sure it is, and whether its words were heard or only sound like what was heard.

    `casual` when nothing but words of everybody's talk was heard.
    """

    meaning: Meaning
    confidence: float
    heard: bool
    casual: bool = False


def understand(heard: Heard, expectation: Expectation, lexicon: Lexicon, over: bool = False) -> Understanding:
    """What `heard` means as an answer to `expectation`.

    Only readings that parse whole count. Of those within the plausible range the best is taken when its
    confidence is enough for what a mistake would cost; the others, and what sounds alike, are alternatives.
    Of an utterance that is `over` it is not asked whether more words could belong to it: that needs the automaton.
    """
    if not heard.hypotheses:
        return Understanding(None, trouble=Trouble.NOTHING)
    tree = grammar(expectation, lexicon)
    candidates = _candidates(heard, tree, expectation, lexicon)
    go_on = not over and _goes_on(heard, expectation, lexicon)
    if not candidates:
        quiet = heard.confidence < lexicon.certainty.ignore
        trouble = Trouble.NOTHING if quiet else Trouble.NOT_A_PHRASE
        return Understanding(None, confidence=heard.confidence, trouble=trouble, could_go_on=go_on)
    return _decide(candidates, expectation, lexicon.certainty, go_on)


def meant(words: tuple[str, ...], expectation: Expectation, lexicon: Lexicon) -> Meaning | None:
    """The likeliest meaning of these very words; None when they are no whole phrase."""
    plain = tidy(words, lexicon.spelled)
    if not plain or len(plain) > _LONGEST:
        return None
    found, _ = _meanings(plain, grammar(expectation, lexicon), expectation, lexicon)
    return found[0] if found else None


def _candidates(
    heard: Heard, tree: Utterance, expectation: Expectation, lexicon: Lexicon
) -> list[_Candidate]:
    """Meanings heard, best first, then those that only sound alike; each once."""
    found: dict[Meaning, _Candidate] = {}
    alike: list[_Candidate] = []
    for hypothesis in heard.hypotheses:
        words = tidy(hypothesis.words, lexicon.spelled)
        if not words or len(words) > _LONGEST:
            continue
        heard_now, other_splits = _meanings(words, tree, expectation, lexicon)
        alike += [_Candidate(one, _less(hypothesis, lexicon), False) for one in other_splits]
        for meaning in heard_now:
            plain = " ".join(word for word in words if word not in lexicon.hesitations)
            casual = plain in lexicon.certainty.casual
            found[meaning] = _more_sure(found.get(meaning), meaning, hypothesis.confidence, casual)
        if heard_now and len(words) <= _MANY and not _has_digits(hypothesis.words):
            alike += _sound_alikes(words, hypothesis.confidence, tree, expectation, lexicon)
    for candidate in sorted(alike, key=lambda one: -one.confidence):
        found.setdefault(candidate.meaning, candidate)
    return sorted(found.values(), key=lambda candidate: (not candidate.heard, -candidate.confidence))


def _less(hypothesis: Hypothesis, lexicon: Lexicon) -> float:
    """The confidence of what these words could mean besides."""
    return hypothesis.confidence * lexicon.certainty.sound_alike


def _meanings(
    words: tuple[str, ...], tree: Utterance, expectation: Expectation, lexicon: Lexicon
) -> tuple[list[Meaning], list[Meaning]]:
    """As `_likeliest`; words that mean nothing are read as others that sound the same, as few as possible."""
    found = _likeliest(readings(tree, words), expectation)
    if found[0]:
        return found
    spelled = (
        _likeliest(readings(tree, other), expectation) for other in respelled(words, lexicon.homophones)
    )
    return next((one for one in spelled if one[0]), found)


def _likeliest(meanings: list[Meaning], expectation: Expectation) -> tuple[list[Meaning], list[Meaning]]:
    """Readings of the same words, likeliest first, and those that only split its numbers otherwise."""
    if not any(meaning.kind is Kind.ORDER for meaning in meanings):
        return meanings, []
    ranked: list[tuple[tuple[float, ...], Meaning]] = []
    for meaning in meanings:
        order = meaning.value
        if not isinstance(order, Order):
            ranked.append(((not _in_range(meaning, expectation),), meaning))
        elif (rank := unlikely(order, expectation)) is not None:
            ranked.append((rank, meaning))
    likely = [meaning for _, meaning in sorted(ranked, key=lambda one: one[0])]
    heard = [one for at, one in enumerate(likely) if at == 0 or one.kind is not Kind.ORDER]
    return heard, [one for one in likely if one not in heard]


def _more_sure(before: _Candidate | None, meaning: Meaning, confidence: float, casual: bool) -> _Candidate:
    """Readings that mean the same ("no", "nope", "hmm no") share their confidence: it adds up."""
    if before is None:
        return _Candidate(meaning, confidence, True, casual)
    return _Candidate(meaning, min(confidence + before.confidence, 1.0), True, before.casual)


def _sound_alikes(
    words: tuple[str, ...], confidence: float, tree: Utterance, expectation: Expectation, lexicon: Lexicon
) -> list[_Candidate]:
    weight = confidence * lexicon.certainty.sound_alike
    return [
        _Candidate(meaning, weight, False)
        for other in variants(words, lexicon.sound_alikes)
        for meaning in _likeliest(readings(tree, other), expectation)[0]
    ]


def _has_digits(words: tuple[str, ...]) -> bool:
    """Whether the words were typed: what is typed has no sound-alikes."""
    return any(letter.isdigit() for word in words for letter in word)


def variants(words: tuple[str, ...], pairs: tuple[tuple[str, str], ...]) -> list[tuple[str, ...]]:
    """The words with one of them, or one group, replaced by what sounds alike."""
    text = f" {' '.join(words)} "
    found: dict[tuple[str, ...], None] = {}
    for pair in pairs:
        for one, other in (pair, pair[::-1]):
            start = text.find(f" {one} ")
            while start >= 0:
                changed = f"{text[:start]} {other} {text[start + len(one) + 2 :]}"
                found[tuple(changed.split())] = None
                start = text.find(f" {one} ", start + 1)
    return list(found)


def _decide(
    candidates: list[_Candidate], expectation: Expectation, certainty: Certainty, go_on: bool
) -> Understanding:
    plausible = [one for one in candidates if _in_range(one.meaning, expectation)]
    meanings = tuple(one.meaning for one in (*plausible, *(c for c in candidates if c not in plausible)))
    best = candidates[0]
    if best.confidence < certainty.ignore:
        return Understanding(None, meanings, best.confidence, Trouble.NOTHING, go_on)
    if best not in plausible:
        heard = tuple(one.meaning for one in candidates if one in plausible or one.heard)
        rival = any(one.heard for one in plausible)
        trouble = Trouble.UNSURE if rival else Trouble.OUT_OF_RANGE
        return Understanding(None, heard, best.confidence, trouble, go_on)
    plausible_meanings = tuple(one.meaning for one in plausible)
    need = needed(best.meaning, expectation, certainty)
    if best.casual:
        need = max(need, certainty.casual_phrase)
    if best.confidence < need or _rivalled(plausible, certainty):
        return Understanding(None, plausible_meanings, best.confidence, Trouble.UNSURE, go_on)
    return Understanding(best.meaning, plausible_meanings[1:], best.confidence, None, go_on)


def _rivalled(plausible: list[_Candidate], certainty: Certainty) -> bool:
    """Whether two different numbers were heard almost equally well."""
    numbers = [one for one in plausible if one.heard and one.meaning.kind in NUMBERS]
    if len(numbers) < 2 or numbers[0] is not plausible[0]:
        return False
    lead = numbers[0].confidence - numbers[1].confidence
    return 0 < lead < certainty.margin


def _in_range(meaning: Meaning, expectation: Expectation) -> bool:
    """Whether a number is plausible. One that corrects another kind of value has a range not known here."""
    if isinstance(meaning.value, Order):
        return out_of_range(meaning.value, expectation) is None
    if meaning.kind not in NUMBERS or (meaning.corrects and expectation.corrected is not None):
        return True
    value = meaning.number
    above = expectation.least is None or value >= expectation.least
    return above and (expectation.most is None or value <= expectation.most)


def needed(meaning: Meaning, expectation: Expectation, certainty: Certainty) -> float:
    """The confidence needed to act on a meaning, by what a mistake would cost."""
    if meaning.kind in (*NUMBERS, Kind.SIZE, Kind.ORDER):
        return certainty.number
    if meaning.kind is Kind.YESNO:
        return certainty.yes if meaning.value else certainty.no
    if meaning.kind is Kind.CHOICE:
        return certainty.choice
    if meaning.value == WAKE and expectation.paused:
        return certainty.wake
    return certainty.costly_command if meaning.value in certainty.costly else certainty.command


def _goes_on(heard: Heard, expectation: Expectation, lexicon: Lexicon) -> bool:
    words = tidy(heard.hypotheses[0].words, lexicon.spelled)
    return bool(words) and grammar_branches(expectation, lexicon).goes_on(words)
