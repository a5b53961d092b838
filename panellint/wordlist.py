"""Lists of words as one regular expression, compiled only when a text may hold one of them.

Compiling some hundred expressions takes longer than linting a label, and nearly every text is
without nearly every word. From each expression the letters that every match must begin with
are taken; a text without any of them is passed over.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache

from panellint.errors import PanellintError

#: Letters and spaces at the beginning of an expression, behind what matches no letter.
_LEAD = re.compile(r"(?:\\b|\^|\\A)*(?P<letters>[^\W\d_]+)(?P<next>.?)", re.DOTALL)
_OPTIONAL = frozenset("?*{|")
_SHORTEST = 2


def _sign(expression: str) -> str | None:
    """Letters that every match of an expression begins with, folded; None where unsure."""
    if "|" in re.sub(r"\((?:[^()\\]|\\.)*\)", "", expression):
        return None
    lead = _LEAD.match(expression)
    if lead is None:
        return None
    letters = lead["letters"][:-1] if lead["next"] in _OPTIONAL else lead["letters"]
    return letters.casefold() if len(letters) >= _SHORTEST else None


def spaced(expression: str) -> str:
    """An expression in which a space stands for any white space, and one with a question mark
    for any or none."""
    return expression.replace(" ?", r"\s*").replace(" ", r"\s+")


class Words:
    """Regular expressions as one, in any case, a space standing for any white space.

    It is searched as a compiled expression is. Raises PanellintError, when first compiled,
    where one is no regular expression.
    """

    __slots__ = ("_compiled", "_signs", "expressions")

    def __init__(self, *expressions: str) -> None:
        self.expressions = expressions
        signs = [_sign(one) for one in expressions]
        self._signs = None if None in signs else tuple({sign for sign in signs if sign})
        self._compiled: re.Pattern[str] | None = None

    def compiled(self) -> re.Pattern[str]:
        """The expression itself. Raises PanellintError where it is none."""
        if self._compiled is None:
            joined = spaced("|".join(f"(?:{one})" for one in self.expressions))
            try:
                self._compiled = re.compile(joined, re.IGNORECASE)
            except re.error as error:
                raise PanellintError(
                    f"{list(self.expressions)} is no regular expression: {error}"
                ) from None
        return self._compiled

    def may_be_in(self, text: str) -> bool:
        """False where the text surely holds none of the words."""
        if self._signs is None:
            return True
        folded = text.casefold()
        return any(sign in folded for sign in self._signs)

    def search(self, text: str, *places: int) -> re.Match[str] | None:
        """The first match in the text (from and to the places given)."""
        return self.compiled().search(text, *places) if self.may_be_in(text) else None

    def match(self, text: str, *places: int) -> re.Match[str] | None:
        """A match at the start of the text (or of the places given)."""
        return self.compiled().match(text, *places) if self.may_be_in(text) else None

    def fullmatch(self, text: str) -> re.Match[str] | None:
        """A match of the whole text."""
        return self.compiled().fullmatch(text) if self.may_be_in(text) else None

    def finditer(self, text: str, *places: int) -> Iterator[re.Match[str]]:
        """Every match, in the order of the text."""
        return self.compiled().finditer(text, *places) if self.may_be_in(text) else iter(())

    def sub(self, by: str, text: str) -> str:
        """The text with every match replaced."""
        return self.compiled().sub(by, text) if self.may_be_in(text) else text


@lru_cache(maxsize=1024)
def pattern(*words: str) -> Words:
    """The words as one, made once for the same list."""
    return Words(*words)
