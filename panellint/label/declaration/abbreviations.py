"""Full stops of abbreviations, which end no list (`rules/words/declarations.yaml`)."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

from panellint.core.text import fold
from panellint.label.declaration.lexer import Piece
from panellint.rulepacks.data import data

#: What an entry begins behind; a single letter there is an abbreviated word ("B. Subtilis").
_BEFORE_ENTRY = frozenset({"SEPARATOR", "OPEN", "COLON", "PERCENT"})
#: What an abbreviation stands before, in the same entry.
_GOES_ON = frozenset({"WORD", "PERCENT", "OPEN"})


def with_abbreviations(pieces: list[Piece]) -> list[Piece]:
    """Returns the terminals of a declaration with each abbreviation and its full stop as one
    word."""
    if any(piece.type == "_STOP" for piece in pieces[:-1]):
        return list(_joined(pieces))
    return pieces


def _joined(pieces: list[Piece]) -> Iterator[Piece]:
    held: Piece | None = None
    before = "SEPARATOR"
    for number, piece in enumerate(pieces):
        follows = pieces[number + 1].type if number + 1 < len(pieces) else ""
        if held is not None and piece.type == "_STOP" and piece.start == held.end:
            if follows in _GOES_ON and _is_short(held.value, before, pieces[number + 1].value):
                piece = Piece("WORD", f"{held.value}.", held.start, piece.end)
            else:
                yield held
            held = None
        elif held is not None:
            yield held
            held = None
        if piece.type == "WORD" and not piece.value.endswith("."):
            before = pieces[number - 1].type if number else "SEPARATOR"
            held = piece
        else:
            yield piece
    if held is not None:
        yield held


def _is_short(word: str, before: str, follows: str) -> bool:
    """Returns whether a word is an abbreviation, by the kind of what stands before it and by what
    follows."""
    folded = fold(word)
    if folded in _words("inside"):
        return True
    if len(word) == 1:
        return word.isalpha() and before in _BEFORE_ENTRY
    return folded in _words("behind") and (word.isupper() or not follows[:1].isupper())


@cache
def _words(place: str) -> frozenset[str]:
    given = data("words/declarations")["abbreviations"][place]
    return frozenset(fold(word) for words in given.values() for word in words)
