"""Lists of words as one regular expression, compiled only when a text may hold one of them.

Compiling some hundred expressions takes longer than linting a label, and nearly every text is
without nearly every word. From each expression letters that every match must hold are taken; a
text without any of them is passed over.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache

from panellint.errors import PanellintError

#: What an expression is written in: escapes, sets, brackets, bars, repeats, letters, the rest.
_PARTS = re.compile(
    r"(?P<set>\\(?:x..|u.{4}|U.{8}|N\{[^}]*\}|.)|\[\^?\]?(?:\\.|[^\]\\])*\])"
    r"|(?P<open>\((?:\?(?:P<\w+>|:))?(?!\?))|(?P<look>\(\?<?[=!])|(?P<odd>\(\?)|(?P<close>\))"
    r"|(?P<bar>\|)|(?P<repeat>[?*+]\??|\{[^}]*\}\??)|(?P<letters>[^\W\d_]+)|(?P<other>.)",
    re.DOTALL,
)
_SHORTEST = 2
#: Deeper brackets than this are not looked into.
_DEEPEST = 8


@lru_cache(maxsize=64)
def _fold(text: str) -> str:
    """A text in which letters are the same that an expression in any case takes for the same.
    Every list is looked for in the same few texts of a label."""
    folded = text.casefold()
    return folded if folded.isascii() else folded.replace("\u0307", "").replace("ı", "i")


class _Branch:
    """What must be in every match of a branch: its longest run of letters, else one of the
    letters of a bracket."""

    __slots__ = ("choice", "run")

    def __init__(self) -> None:
        self.run = ""
        self.choice: tuple[str, ...] | None = None

    @property
    def signs(self) -> tuple[str, ...] | None:
        if len(self.run) >= _SHORTEST:
            return (_fold(self.run),)
        return self.choice


def _signs(expression: str) -> tuple[str, ...] | None:
    """Letters of which every match of an expression holds one or more, folded; None where
    unsure."""
    # Each level of brackets: the branches so far, and whether its letters count.
    levels = [([_Branch()], True)]
    last: tuple[str, ...] | None = None
    run = ""
    for part in _PARTS.finditer(expression):
        kind, text = part.lastgroup, part.group()
        branches, counts = levels[-1]
        branch = branches[-1]
        if kind == "repeat" and text[0] in "?*{":
            run, last = run[:-1], None  # the letter before it may be missing, or the bracket
        if len(run) > len(branch.run):
            branch.run = run
        if last is not None and branch.choice is None:
            branch.choice = last
        run, last = "", None
        if kind == "letters":
            run = text
        elif kind == "bar":
            branches.append(_Branch())
        elif kind == "odd" or len(levels) > _DEEPEST:
            return None
        elif kind in {"open", "look"}:
            levels.append(([_Branch()], counts and kind == "open"))
        elif kind == "close":
            if len(levels) == 1:
                return None
            levels.pop()
            last = _any_of(branches) if counts else None
    branches, _ = levels[0]
    branch = branches[-1]
    if len(run) > len(branch.run):
        branch.run = run
    if last is not None and branch.choice is None:
        branch.choice = last
    return _any_of(branches) if len(levels) == 1 else None


def _any_of(branches: list[_Branch]) -> tuple[str, ...] | None:
    """The signs of one branch or another; None where a branch has none."""
    signs: list[str] = []
    for branch in branches:
        found = branch.signs
        if found is None:
            return None
        signs.extend(found)
    return tuple(dict.fromkeys(signs))


def _any_sign(expressions: tuple[str, ...]) -> tuple[str, ...] | None:
    found = [_signs(one) for one in expressions]
    if None in found:
        return None
    return tuple(dict.fromkeys(sign for one in found for sign in one or ()))


def spaced(expression: str) -> str:
    """An expression in which a space stands for any white space, and one with a question mark
    for any or none."""
    return expression.replace(" ?", r"\s*").replace(" ", r"\s+")


class Words:
    """Regular expressions as one, in any case, a space standing for any white space.

    It is searched as a compiled expression is. Raises PanellintError, when first compiled,
    where one is no regular expression.
    """

    __slots__ = ("_compiled", "_looked", "_signs", "expressions")

    def __init__(self, *expressions: str) -> None:
        self.expressions = expressions
        self._compiled: re.Pattern[str] | None = None
        self._signs: tuple[str, ...] | None = None
        self._looked = False

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
        if not self._looked:
            self._signs, self._looked = _any_sign(self.expressions), True
        if self._signs is None:
            return True
        folded = _fold(text)
        for sign in self._signs:  # noqa: SIM110 - quicker, and asked often
            if sign in folded:
                return True
        return False

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
