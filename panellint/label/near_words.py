"""Words that are nearly known ones: as a scanner spoils them (l for i, 0 for o, rn for m), or one
slip of a typist away. What is read so is never certain; whoever asks says what was printed."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache

from panellint.core.text import fold

#: Signs that scanners take for one another, each under one of them.
_ALIKE = str.maketrans({"1": "i", "l": "i", "|": "i", "!": "i", "0": "o", "5": "s", "8": "b"})
_PAIRS = (("rn", "m"), ("vv", "w"), ("cl", "d"))
#: A word shorter than this is read as it stands; a longer one may have one slip, a long one two.
_SHORT, _LONG = 6, 14


def near(printed: str, known: Mapping[str, str]) -> str | None:
    """Returns the known words (folded, keys of `known`) that were nearly printed, or None.

    `known` maps words to what they stand for; where words of different meaning are equally
    near, the answer is None.
    """
    folded = fold(printed)
    if len(folded) < _SHORT:
        return None
    shape = _shape(folded)
    exact = [words for words in known if _shape(words) == shape]
    if exact:
        return _one_meaning(exact, known)
    from rapidfuzz.distance import OSA

    most = 2 if len(folded) >= _LONG else 1
    slips = {
        words: OSA.distance(folded, words, score_cutoff=most)
        for words in known
        if len(words) >= _SHORT and abs(len(words) - len(folded)) <= most
    }
    least = min(slips.values(), default=most + 1)
    return (
        _one_meaning([words for words, count in slips.items() if count == least], known)
        if least <= most
        else None
    )


@lru_cache(maxsize=4096)
def _shape(folded: str) -> str:
    for pair, one in _PAIRS:
        folded = folded.replace(pair, one)
    return folded.translate(_ALIKE)


def _one_meaning(words: list[str], known: Mapping[str, str]) -> str | None:
    return words[0] if len({known[one] for one in words}) == 1 else None
