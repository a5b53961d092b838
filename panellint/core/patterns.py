"""Lists of words as one regular expression, compiled only when a text may hold one of them.

Compiling some hundred expressions takes longer than linting a label, and nearly every text is
without nearly every word. From each expression letters and signs that every match must hold are
taken; a text without them is passed over.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache

from panellint.core.errors import PanellintError

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
    """What must be in every match of a branch: its runs of letters and signs, and of each of
    its brackets and sets one of a choice."""

    __slots__ = ("needs",)

    def __init__(self) -> None:
        self.needs: list[tuple[str, ...]] = []

    def run(self, run: str) -> None:
        """Take up a run of what is written as it is; a single letter tells too little."""
        if len(run) >= _SHORTEST or (run and not run.isalnum()):
            self.needs.append((_fold(run),))

    def told(self) -> tuple[tuple[str, ...], ...]:
        """Its needs, the most telling one first."""
        return tuple(sorted(set(self.needs), key=lambda need: (len(need), -len(need[0]), need)))


#: For each branch of a list of expressions what all must be in its matches, each a choice.
_Needs = tuple[tuple[tuple[str, ...], ...], ...]


def _needs(expression: str) -> _Needs | None:
    """What every match of an expression holds, branch by branch; None where unsure."""
    # Each level of brackets: the branches so far, and whether its letters count.
    levels = [([_Branch()], True)]
    last: tuple[str, ...] | None = None
    run = ""
    for part in _PARTS.finditer(expression):
        kind, text = part.lastgroup, part.group()
        branches, counts = levels[-1]
        branch = branches[-1]
        literal = _literal(kind, text)
        if literal and not last:
            run += literal
            continue
        if kind == "repeat" and (text[0] in "?*" or text.startswith("{0")):
            run, last = run[:-1], None  # the letter before it may be missing, or the bracket
        branch.run(run)
        if last is not None:
            branch.needs.append(last)
        run, last = literal, None
        if kind == "set":
            last = _choice(text)
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
    branches[-1].run(run)
    if last is not None:
        branches[-1].needs.append(last)
    told = tuple(one.told() for one in branches)
    return told if len(levels) == 1 and all(told) else None


def _literal(kind: str | None, text: str) -> str:
    """What stands for itself: letters, signs, escaped signs. A space is any white space."""
    if kind == "letters" or (kind == "other" and text not in ".^$ "):
        return text
    if kind == "set" and text[0] == "\\" and not text[1].isalnum() and text[1] != " ":
        return text[1]
    return ""


def _choice(text: str) -> tuple[str, ...] | None:
    """The characters of a plain set, none of them a letter; None for others."""
    held = text[1:-1]
    if text[0] != "[" or held[0] == "^" or any(c.isalnum() or c in "-\\_ " for c in held):
        return None
    return tuple(held)


def _any_of(branches: list[_Branch]) -> tuple[str, ...] | None:
    """What tells most of one branch or another; None where a branch has nothing."""
    told = [one.told() for one in branches]
    if not all(told):
        return None
    return tuple(dict.fromkeys(sign for needs in told for sign in needs[0]))


def _all_needs(expressions: tuple[str, ...]) -> _Needs | None:
    found = [_needs(one) for one in expressions]
    if None in found:
        return None
    return tuple(dict.fromkeys(needs for one in found for needs in one or ()))


def spaced(expression: str) -> str:
    """An expression in which a space stands for any white space, and one with a question mark
    for any or none."""
    return expression.replace(" ?", r"\s*").replace(" ", r"\s+")


class Words:
    """Regular expressions as one, in any case, a space standing for any white space.

    It is searched as a compiled expression is. Raises PanellintError, when first compiled,
    where one is no regular expression.
    """

    __slots__ = ("_compiled", "_looked", "_needs", "_signs", "expressions")

    def __init__(self, *expressions: str) -> None:
        self.expressions = expressions
        self._compiled: re.Pattern[str] | None = None
        self._needs: _Needs | None = None
        #: One sign or another is in every text that holds any of the words.
        self._signs: tuple[str, ...] = ()
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
            self._looked, self._needs = True, _all_needs(self.expressions)
            firsts = (sign for needs in self._needs or () for sign in needs[0])
            self._signs = tuple(dict.fromkeys(firsts))
        if self._needs is None:
            return True
        folded = _fold(text)
        for sign in self._signs:
            if sign in folded:
                break
        else:
            return False
        return any(
            all(any(sign in folded for sign in need) for need in needs) for needs in self._needs
        )

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
