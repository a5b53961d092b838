"""Words that are nearly known ones: as a scanner spoils them (l for i, 0 for o, rn for m), or one
slip of a typist away. What is read so is never certain; whoever asks says what was printed."""

import re
from collections.abc import Iterator, Mapping
from functools import cache, lru_cache

from panellint.core.text import without_accents
from panellint.rulepacks.data import data

#: Signs that scanners take for one another, each under one of them.
_ALIKE = str.maketrans(
    {"1": "i", "l": "i", "|": "i", "!": "i", "0": "o", "5": "s", "8": "b"}
    | {"m": "rn", "w": "vv", "d": "ci"}
)
#: A word shorter than this is read as it stands; up to the next length its signs alone may be
#: another's; a longer one may have one slip, a long one two.
_SHORTEST, _SHORT, _LONG = 3, 6, 14
_LETTER = re.compile(r"[^\W\d_]")


def spellings(words: str, language: str) -> list[str]:
    """Returns folded words and how a language spells them too: without accents, as capitals often
    stand ("COMPOSICION"), and with its letters written out ("fuetterung")."""
    if words.isascii():  # as half of all are, at a tenth of the time
        return [words]
    plain = without_accents(words)
    stroked = "".join(a if a in "łø" else b for a, b in zip(words, plain, strict=True))
    written = words
    for several, letter in data("words/spelling")["spelled-out"].get(language, {}).items():
        written = written.replace(letter, several)
    return list(dict.fromkeys((words, plain, stroked, written)))


class KnownWords:
    """Known words (folded), with what they stand for, indexed by shape and by length.

    Made once for a vocabulary: a search compares a printed word with those of about its length.
    """

    def __init__(self, meanings: Mapping[str, str]) -> None:
        self._meanings = meanings
        self._by_shape: dict[str, list[str]] = {}
        self._by_length: dict[tuple[int, int], list[str]] = {}
        for words in meanings:
            self._by_shape.setdefault(_shape(words), []).append(words)
            if len(words) >= _SHORT:
                key = (words.count(" "), len(words))
                self._by_length.setdefault(key, []).append(words)
        #: Of folded words, the known ones that were nearly printed; None where there are none, or
        #: where words of different meaning are equally near.
        self.near = lru_cache(maxsize=8192)(self._nearest)
        self._candidates = cache(self._of_about)

    def alike(self, folded: str) -> str | None:
        """Returns the known words that look like folded ones, sign by sign; None as above."""
        exact = self._by_shape.get(_shape(folded))
        if not exact or len(folded) < _SHORTEST or not _LETTER.search(folded):
            return None
        return self._one_meaning(exact)

    def _nearest(self, folded: str) -> str | None:
        shape = _shape(folded)
        if shape in self._by_shape or len(folded) < _SHORT:
            return self.alike(folded)
        most = 2 if len(folded) >= _LONG else 1
        known, shapes = self._candidates(folded.count(" "), len(folded), most)
        least = most + 1
        nearest: list[str] = []
        for words, slips in _slips(folded, known, shapes, most):
            if slips < least:
                least, nearest = slips, []
            if slips == least:
                nearest.append(words)
        return self._one_meaning(nearest) if nearest else None

    def _of_about(self, blanks: int, length: int, most: int) -> tuple[list[str], list[str]]:
        """The known words of about a length, and the shape of each."""
        lengths = range(length - most, length + most + 1)
        words = [word for size in lengths for word in self._by_length.get((blanks, size), ())]
        return words, list(map(_shape, words))

    def _one_meaning(self, words: list[str]) -> str | None:
        return words[0] if len({self._meanings[word] for word in words}) == 1 else None


def _slips(
    printed: str, known: list[str], shapes: list[str], most: int
) -> Iterator[tuple[str, int]]:
    """Yields the known words that are at most so many slips from printed ones, with their number,
    signs that look alike being one and then not; `shapes` are those of the known words."""
    from rapidfuzz import process
    from rapidfuzz.distance import OSA

    for query, choices in ((printed, known), (_shape(printed), shapes)):
        hits = process.extract(query, choices, scorer=OSA.distance, score_cutoff=most, limit=None)
        yield from ((known[place], int(slips)) for _, slips, place in hits)


def mended(printed: str) -> Iterator[str]:
    """Yields what words were where a scanner gave digits for letters ("0ats", "Vitam1n"); nothing
    for words in which no letter and digit stand together."""
    words = printed.split(" ")
    spoilt = [any(map(str.isalpha, word)) and any(map(str.isdigit, word)) for word in words]
    if not any(spoilt):
        return
    for letter in ("i", "l"):
        table = str.maketrans({"0": "o", "1": letter, "5": "s", "8": "b"})
        pairs = zip(words, spoilt, strict=True)
        yield " ".join(word.translate(table) if bad else word for word, bad in pairs)


@lru_cache(maxsize=4096)
def _shape(folded: str) -> str:
    return folded.translate(_ALIKE)
