"""Messages for the person that carry their numbers unformatted.

A note is shown by the screen, spoken by the voice and printed by the command line, and each writes
numbers its own way. So core states a template and typed values and never formats them itself.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction

Value = Fraction | float | int | str


@dataclass(frozen=True, slots=True)
class Note:
    """One thing worth telling: `code` is stable for programs, `template` names its values in braces.

    Values are typed by their meaning: a `Fraction` is a length in inches, a `float` an angle in
    degrees, an `int` a count, a `str` a word of the trade.
    """

    code: str
    template: str
    values: Mapping[str, Value] = field(default_factory=dict)


class BenchError(Exception):
    """Something the person can put right: what is wrong, and what would work instead.

    `message` and `remedy` are notes so that voice, screen and command line can each say them well.
    Programming mistakes are ordinary exceptions, never this.
    """

    def __init__(self, message: Note | str, remedy: Note | str = "", code: str = "bad_request") -> None:
        self.message = message if isinstance(message, Note) else Note(code, message)
        self.remedy = remedy if isinstance(remedy, Note) else Note(code, remedy)
        self.code = self.message.code
        super().__init__(self.message.template)
