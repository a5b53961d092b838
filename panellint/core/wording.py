"""Words and phrases as packs write them, compiled to one search of a text.

A phrase is plain words. It is found as whole words in any case; the last word may be singular or
plural; a space is any white space or a hyphen, a hyphen is any of these or nothing; "and" is also
"&"; straight and curly quotes are the same. Four signs say more:

- `made|packed by`: one word or the other;
- `complete (and balanced) diet`: what stands in brackets may be missing;
- `100 %`, `# lb`: `#` is any number, and no space is needed beside it or before `%`;
- `cures ... pain`: up to three words may stand between; `preserv*`, `*calciferol`: any end or
  start of a word; `*` alone: any word.

Where that is not enough, a list may hold mappings: `exact` (phrases whose last word has no other
number), `regex` (regular expressions, in any case, where a space is any white space), and
`not-before` and `not-after` (phrases that must not stand behind or in front).
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from panellint.core.text import without_accents

if TYPE_CHECKING:
    from panellint.core.linear_search import LinearSearch

    Pattern = re.Pattern[str] | LinearSearch

#: The keys of a mapping in a list of words.
KEYS = ("words", "exact", "regex", "not-before", "not-after")
#: What `regex` is called in a compiled pack of a user's own: it is run by another engine.
LINEAR = "linear-regex"

_DASH = r"\-\u2010-\u2015"
_GAP = rf"[\s{_DASH}]+"
_PARTS = re.compile(r"\(|\)|[^\s()]+")
_QUOTES = "['\u2018\u2019\u02bc]"
_NUMBER = r"(?:#\s?)?\d+(?:[.,]\d+){0,4}"
_FEW_WORDS = r"(?:[^\w.;!?]+\w+){0,3}?"
#: In a text of fewer characters a search that is compiled is faster than looking at its words.
_SHORT = 80
_LETTERS = re.compile(r"[^\W\d_]+")
#: An escape, a class of letters, or a word of a regular expression that may have lost its accents.
_PIECE = re.compile(r"\\.|\[(?:\\.|[^\]\\])*\]|(?P<word>[^\W\d_]{5,})")
#: So many choices of a list's phrases have a search of their own.
_MOST_PARTS = 12
#: So many first letters of a word are compared before it is looked for.
_OPENING = 6
#: What a word may end in that its other number does not have.
_NUMBER_ENDING = re.compile("(?:ies|[ys])$")
_SIBILANTS = ("s", "x", "z", "ch", "sh")


def regex(*expressions: str) -> re.Pattern[str]:
    """Returns regular expressions as one, in any case, a space standing for any white space and
    one with a question mark for any or none. Raises re.error where one of them is none."""
    return _compiled("|".join(f"(?:{expression})" for expression in expressions) or "(?!)")


@lru_cache(maxsize=2048)
def _compiled(expression: str) -> re.Pattern[str]:
    if not expression.isascii():
        expression = _PIECE.sub(_or_plain, expression)
    return re.compile(spaced(expression), re.IGNORECASE)


def _or_plain(piece: re.Match[str]) -> str:
    """Returns a word of an expression so that it is found without its accents too, as spoilt texts
    have it; a short word ("thé" is no "the") stays as it is."""
    printed = piece.group()
    plain = without_accents(printed) if piece["word"] else printed
    return "".join(a if a == b else f"[{a}{b}]" for a, b in zip(printed, plain, strict=True))


def spaced(expression: str) -> str:
    """Returns a regular expression in which a space stands for any white space, and one with a
    question mark for any or none."""
    return expression.replace(" ?", r"\s*").replace(" ", r"\s+")


def expression_of(given: Any) -> str:
    """Returns what a pack gives as words as the source of one regular expression, for `regex`.

    Raises ValueError where a phrase has brackets without their match.
    """
    return "|".join(
        f"(?:{expression})" for item in items(given) for expression in _expressions(item)
    )


class Wording:
    """What a pack gives as words (a text, a mapping, or a list of these) as one search.

    It is compiled when a text first holds the letters of one of its phrases: few labels hold any
    words of most rules, and compiling all of them takes 12 % of a cold start.
    """

    __slots__ = ("_always", "_given", "_parts", "_pattern", "_phrases", "_places", "_union")

    def __init__(self, given: Any) -> None:
        self._given = given
        self._phrases = phrase_openings(given)
        self._union = frozenset(
            opening for words in self._phrases for opening in next(iter(words), ())
        )
        #: The places of the phrases by how their rarest word begins, from when a text has one.
        self._places: dict[str, list[int]] = {}
        #: Those of which no word is known: these may stand in any text.
        self._always = [place for place, phrase in enumerate(self._phrases) if not phrase]
        self._pattern: Pattern | None = None
        self._parts: dict[tuple[int, ...], re.Pattern[str]] = {}

    def compiled(self) -> Pattern:
        """Returns the search as a regular expression.

        Raises re.error where a regular expression is none, ValueError where a phrase has brackets
        without their match.
        """
        if self._pattern is None:
            expressions = [
                expression for item in items(self._given) for expression in _expressions(item)
            ]
            others = [text for _, key, text in sources(self._given) if key == LINEAR]
            if others:
                from panellint.core.linear_search import LinearSearch

                self._pattern = LinearSearch(others, regex(*expressions) if expressions else None)
            else:
                self._pattern = regex(*expressions)
        return self._pattern

    @property
    def is_phrases(self) -> bool:
        """Whether it is made of phrases alone, whose letters are known."""
        return bool(self._union) and not self._always

    def search(self, text: str) -> re.Match[str] | None:
        """Returns the first place in a text where it stands; None where it stands nowhere."""
        pattern = self.pattern_for(text)
        return pattern.search(text) if pattern else None

    def finditer(self, text: str) -> Iterator[re.Match[str]]:
        """Returns every place in a text where it stands, in order."""
        pattern = self.pattern_for(text)
        return pattern.finditer(text) if pattern else iter(())

    def match(self, text: str, start: int = 0) -> re.Match[str] | None:
        """Returns its place at an offset of a text; None where it does not stand there."""
        pattern = self.pattern_for(text)
        return pattern.match(text, start) if pattern else None

    def fullmatch(self, text: str) -> re.Match[str] | None:
        """Returns the whole text where that is what is searched for; None where it is not."""
        pattern = self.pattern_for(text)
        return pattern.fullmatch(text) if pattern else None

    def may_stand_in(self, text: str) -> bool:
        """Returns False where the text surely does not hold it."""
        return self.pattern_for(text) is not None

    def pattern_for(self, text: str) -> Pattern | None:
        """Returns a search for the phrases that may stand in a text; None where surely none does. A
        check of many short texts asks once of all of them, and searches each with what it gets."""
        if not self._union or (self._pattern is not None and len(text) < _SHORT):
            return self.compiled()
        openings = _word_openings(text)
        begun = self._union & openings
        if not begun and not self._always:
            return None
        if not self._places:
            for place, phrase in enumerate(self._phrases):
                for opening in phrase[0] if phrase else ():
                    self._places.setdefault(opening, []).append(place)
        may_stand = {place for opening in begun for place in self._places[opening]}
        chosen = tuple(
            place
            for place in sorted(may_stand.union(self._always))
            if not any(map(openings.isdisjoint, self._phrases[place]))
        )
        if not chosen:
            return None
        if chosen not in self._parts and len(self._parts) == _MOST_PARTS:
            return self.compiled()
        if chosen not in self._parts:
            phrases = list(_singles(self._given))
            self._parts[chosen] = regex(
                *(expression for n in chosen for expression in _expressions(phrases[n]))
            )
        return self._parts[chosen]


def any_case(text: str) -> str:
    """Returns a text in which letters are the same that a search in any case takes for the same."""
    return text.casefold().replace("\u0307", "").replace("\u0131", "i")


@lru_cache(maxsize=64)
def _word_openings(text: str) -> frozenset[str]:
    """Returns the first letters of each word of a text, up to `_OPENING` of them. All words of the
    packs are searched for in the same few texts of a label; whether two sets share any is known in
    a tenth of the time of a look for each word."""
    words = set(_LETTERS.findall(without_accents(any_case(text))))
    openings: set[str] = set()
    for size in range(3, _OPENING + 1):
        openings.update([word[:size] for word in words])
    # A short word is that word, or its other number.
    openings.update(word for word in words if len(word) == 1)
    openings.update(word[:2] for word in words if len(word) < 5)
    return frozenset(openings)


def phrase_openings(given: Any) -> list[tuple[frozenset[str], ...]]:
    """Returns for each phrase of a pack's words how each word that must stand begins, one for each
    of its choices, the longest first; nothing for one of which it is not known. Returns nothing at
    all where an expression is a user's own, which another engine runs."""
    phrases = []
    for single in _singles(given):
        if single.get(LINEAR):
            return []
        phrase = single["words"] or single["exact"]
        choices = [
            frozenset(opening for choice in word.split("|") for opening in _openings(choice))
            for word in _solid(phrase or "")
        ]
        known = [openings for openings in choices if "" not in openings]
        # The longest word is the rarest.
        known.sort(key=lambda openings: min(map(len, openings)), reverse=True)
        phrases.append(tuple(known))
    return phrases


def _singles(given: Any) -> Iterator[dict[str, Any]]:
    """Yields each phrase or regular expression of what a pack gives as words, as an item of its
    own."""
    for item in items(given):
        whole = item if isinstance(item, Mapping) else {"words": item}
        for key in ("words", "exact", "regex", LINEAR):
            for text in items(whole.get(key, [])):
                yield {**whole, "words": [], "exact": [], "regex": [], key: text}


def _solid(phrase: str) -> Iterator[str]:
    """Yields the words of a phrase that must stand."""
    depth = 0
    for part in _PARTS.findall(phrase):
        if part in "()":
            depth += 1 if part == "(" else -1
        elif not depth:
            yield part


def _openings(word: str) -> Iterator[str]:
    """Yields how a word of the text begins where a word of a phrase stands, one of them for sure;
    "" where that is not known."""
    # What a hyphen parts may stand as one word; a quotation mark always stands.
    first, *others = max(re.split("['\u2019]", without_accents(any_case(word))), key=len).split("-")
    letters = _LETTERS.match(first)
    opening = letters.group() if letters and word != "and" else ""
    stem = opening if others else _NUMBER_ENDING.sub("", opening)
    if len(opening) < 3 and word.endswith("*"):
        yield ""
    elif len(opening) < 3 and opening and others:
        yield from _openings(others[0])
        yield (opening + others[0])[:_OPENING]
    elif len(stem) > 2:
        yield stem[:_OPENING]
    else:
        yield opening[:2]
        if stem != opening:
            yield from (stem[:1] + end for end in ("", "i", "y"))  # the other number of "by"


def items(given: Any) -> list[Any]:
    """Returns a list of words, of which one alone is a list too."""
    return given if isinstance(given, list) else [given]


def _expressions(item: str | Mapping[str, Any]) -> Iterator[str]:
    if isinstance(item, str):
        item = {"words": item}
    before = "".join(
        rf"(?<!\b{re.escape(phrase)}[\s{_DASH}])".replace(r"\ ", r"\s")
        for phrase in items(item.get("not-after", []))
    )
    after = [phrase_expression(barred) for barred in items(item.get("not-before", []))]
    behind = f"(?!{_GAP}(?:{'|'.join(after)}))" if after else ""
    for key, plural in (("words", True), ("exact", False)):
        for phrase in items(item.get(key, [])):
            yield f"{before}{phrase_expression(phrase, plural)}{behind}"
    for expression in items(item.get("regex", [])):
        yield f"{before}(?:{expression}){behind}"


def phrase_expression(phrase: str, plural: bool = True) -> str:
    """Returns a phrase as a regular expression. Raises ValueError where brackets do not match."""
    parts = _PARTS.findall(phrase)
    tree: list[Any] = []
    open_groups = [tree]
    for part in parts:
        if part == "(":
            open_groups[-1].append([])
            open_groups.append(open_groups[-1][-1])
        elif part != ")":
            open_groups[-1].append(part)
        elif len(open_groups) == 1:
            raise ValueError(f"`{phrase}` closes a bracket that is not open")
        else:
            open_groups.pop()
    if len(open_groups) > 1 or not parts:
        raise ValueError(f"`{phrase}` has a bracket that is not closed" if parts else "no words")
    return rf"(?<!\w){_sequence(tree, plural)}(?!\w)"


def _sequence(tree: list[Any], plural: bool) -> str:
    """Returns words and optional groups in their order. A group takes the gap on its far side
    from the first word that must stand, so that nothing begins or ends with a gap."""
    solid = next((n for n, part in enumerate(tree) if isinstance(part, str)), len(tree))
    last = max((n for n, part in enumerate(tree) if isinstance(part, str)), default=-1)
    expression = ""
    for number, part in enumerate(tree):
        ends = plural and number >= last
        own = _word(part, ends) if isinstance(part, str) else _sequence(part, ends)
        gap = _gap(tree, number)
        if isinstance(part, str):
            expression += (gap if number > solid else "") + own
        elif number < solid:
            expression += f"(?:{own}{_GAP})?"
        else:
            expression += f"(?:{gap}{own})?"
    return expression


def _gap(tree: list[Any], number: int) -> str:
    """Returns what parts a word from the one before it."""
    around = [part for part in tree[max(number - 1, 0) : number + 1] if isinstance(part, str)]
    if "..." in around:
        return "" if tree[number] == "..." else _GAP
    if "#" in around and number:
        return rf"[\s{_DASH}]*"
    return r"\s*" if tree[number] == "%" else _GAP


def _word(word: str, plural: bool) -> str:
    if word == "...":
        return _FEW_WORDS
    if word == "*":
        return r"\w+"
    forms = [_form(choice, plural) for choice in word.split("|")]
    return forms[0] if len(forms) == 1 else f"(?:{'|'.join(forms)})"


def _form(word: str, plural: bool) -> str:
    if word == "and":
        return "(?:and|&)"
    open_end = word.endswith("*")
    pieces = re.split(r"([#'\u2019\-])", word.strip("*"))
    signs = {"#": _NUMBER, "'": _QUOTES, "\u2019": _QUOTES, "-": rf"[\s{_DASH}]*"}
    last = pieces[-1]
    body = r"\w*" if word.startswith("*") else ""
    body += "".join(signs.get(piece) or re.escape(piece) for piece in pieces[:-1])
    if open_end or not plural or len(last) < 2 or not last.isalpha():
        return body + re.escape(last) + (r"\w*" if open_end else "")
    return body + _either_number(last)


def _either_number(word: str) -> str:
    """Returns the singular and the plural of an English word; where it is no noun, the other form
    is no word, and does no harm."""
    low = word.lower()
    if low.endswith("ies"):
        return f"{word[:-3]}(?:y|ies)"
    if low.endswith("y") and low[-2] not in "aeiou":
        return f"{word[:-1]}(?:y|ies)"
    if low.endswith("s") and not low.endswith(("ss", "us", "is")):
        return f"{word[:-1]}s?"
    if low.endswith("o"):
        return f"{word}(?:e?s)?"
    return f"{word}(?:es)?" if low.endswith(_SIBILANTS) else f"{word}s?"


def sources(given: Any) -> Iterator[tuple[tuple[str | int, ...], str, str]]:
    """Yields each text of what a pack gives as words, with its place in it and its key (see
    KEYS; a plain phrase has `words`)."""
    for number, item in enumerate(items(given)):
        place = (number,) if isinstance(given, list) else ()
        if not isinstance(item, Mapping):
            yield place, "words", item
            continue
        for key, value in item.items():
            for index, text in enumerate(items(value)):
                yield (*place, key, *((index,) if isinstance(value, list) else ())), key, text
