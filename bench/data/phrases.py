"""The phrases people use and the confidence needed to act on them, from the shared data."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from bench.core.notes import BenchError
from bench.data.files import read_toml, structured
from bench.language.lexicon import NUMBER, Certainty, Lexicon, Phrasebook, Slots, phrase
from bench.language.names import Places, name_node, route_node, term_node

_PHRASES = "phrases.toml"
_CERTAINTY = "confidence.toml"
_GLOSSARY = "glossary.toml"
_PLACES = "places.toml"
_PART = re.compile(r"\{[a-z]+\}")


@dataclass(frozen=True)
class Term:
    """One trade term: its names and its definition in a sentence."""

    says: tuple[str, ...]
    answer: str


@dataclass(frozen=True)
class Glossary:
    """`shared/glossary.toml`: trade terms, how each measure is taken, which end the tape hooks on."""

    terms: dict[str, Term]
    measuring: dict[str, str]
    tape_end: dict[str, str]


@cache
def glossary() -> Glossary:
    """The trade terms, read once. Raises BenchError naming file and key when the data is damaged."""
    return structured(_GLOSSARY, Glossary, read_toml(_GLOSSARY))


@cache
def lexicon() -> Lexicon:
    """All phrases, read once. Raises BenchError naming file and key when the data is damaged."""
    book = structured(_PHRASES, Phrasebook, _with_parts(read_toml(_PHRASES)))
    certainty = structured(_CERTAINTY, Certainty, read_toml(_CERTAINTY))
    slots = _slots()
    _check(book, certainty, slots)
    fields = {field: getattr(book, field) for field in Phrasebook.__dataclass_fields__}
    return Lexicon(**fields, certainty=certainty, slots=slots)


def _with_parts(raw: dict[str, Any]) -> dict[str, Any]:
    """The file with what many phrases share written out: `{it}` becomes what `[parts]` has for it, in parentheses."""
    parts: dict[str, str] = {}
    for name, said in raw.pop("parts", {}).items():
        parts[f"{{{name}}}"] = f"({_filled(said, parts)})"

    def fill(value: Any) -> Any:
        if isinstance(value, str):
            return _filled(value, parts)
        if isinstance(value, list):
            return [fill(one) for one in value]
        return {key: fill(one) for key, one in value.items()} if isinstance(value, dict) else value

    return {key: fill(value) for key, value in raw.items()}


def _filled(template: str, parts: Mapping[str, str]) -> str:
    return _PART.sub(lambda match: parts.get(match[0], match[0]), template)


def _slots() -> Slots:
    """The slots a phrase can contain."""
    terms = {key: term.says for key, term in glossary().terms.items()}
    for key, says in terms.items():
        _check_templates(f"terms: {key}", says, file=_GLOSSARY)
    places = structured(_PLACES, Places, read_toml(_PLACES))
    _check_templates("kinds", places.kinds, file=_PLACES)
    name = name_node(places)
    return {**NUMBER, "{term}": term_node(terms), "{name}": name, "{route}": route_node(name)}


def _check(book: Phrasebook, certainty: Certainty, slots: Slots) -> None:
    for where, templates in book.templates.items():
        _check_templates(where, templates, slots if where.startswith("commands") else NUMBER)
    for template in book.corrections:
        if template.endswith("]"):
            raise _damaged(_PHRASES, f"corrections: {template!r} may not end in an optional part")
    for template in (*book.around, *book.between):
        if phrase(template).empty:
            raise _damaged(_PHRASES, f"around, between: of {template!r} something must be said")
    _check_left_out(book)
    for key in book.refused:
        if key not in book.commands:
            raise _damaged(_PHRASES, f"refused: no command is called {key!r}")
    for key in certainty.costly:
        if key not in book.commands:
            raise _damaged(_CERTAINTY, f"costly: no command is called {key!r}")


def _check_left_out(book: Phrasebook) -> None:
    """What is not said everywhere must be a phrase of a command or of yes that has others."""
    several_each = (*book.commands.values(), book.yes)
    left_out = {"not_at_numbers": book.not_at_numbers}
    left_out |= {f"yielding: {key}": several for key, several in book.yielding.items()}
    for where, several in left_out.items():
        for one in several:
            if not any(one in phrases and len(phrases) > 1 for phrases in several_each):
                raise _damaged(
                    _PHRASES, f"{where}: {one!r} is not a phrase of a command, or is its only phrase"
                )


def _check_templates(
    where: str, templates: tuple[str, ...], slots: Slots = NUMBER, file: str = _PHRASES
) -> None:
    if not templates:
        raise _damaged(file, f"{where} has no phrase")
    for template in templates:
        try:
            phrase(template, slots)
        except ValueError as error:
            raise _damaged(file, f"{where}: {error}") from error


def _damaged(name: str, reason: str) -> BenchError:
    return BenchError(f"shared/{name}: {reason}", "Correct that line of the file.", code="data_damaged")
