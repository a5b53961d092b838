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

if TYPE_CHECKING:
    from panellint.core.linear_search import LinearSearch

#: The keys of a mapping in a list of words.
KEYS = ("words", "exact", "regex", "not-before", "not-after")
#: What `regex` is called in a compiled pack of a user's own: it is run by another engine.
LINEAR = "linear-regex"

_DASH = r"\-\u2010-\u2015"
_GAP = rf"(?:\s+|\s*[{_DASH}]\s*)"
_PARTS = re.compile(r"\(|\)|[^\s()]+")
_QUOTES = "['\u2018\u2019\u02bc]"
_NUMBER = r"(?:#\s?)?\d+(?:[.,]\d+)*"
_FEW_WORDS = r"(?:[^\w.;!?]+\w+){0,3}?"
#: In a text of fewer characters a search that is compiled is faster than looking for letters.
_SHORT = 80
_LETTERS = re.compile(r"[^\W\d_]+")
#: What a word may end in that its other number does not have.
_NUMBER_ENDING = re.compile("(?:ies|[ys])$")
_SIBILANTS = ("s", "x", "z", "ch", "sh")


def regex(*expressions: str) -> re.Pattern[str]:
    """Returns regular expressions as one, in any case, a space standing for any white space and
    one with a question mark for any or none. Raises re.error where one of them is none."""
    return _compiled("|".join(f"(?:{one})" for one in expressions) or "(?!)")


@lru_cache(maxsize=2048)
def _compiled(expression: str) -> re.Pattern[str]:
    return re.compile(spaced(expression), re.IGNORECASE)


def spaced(expression: str) -> str:
    """Returns a regular expression in which a space stands for any white space, and one with a
    question mark for any or none."""
    return expression.replace(" ?", r"\s*").replace(" ", r"\s+")


def expression_of(given: Any) -> str:
    """Returns what a pack gives as words as the source of one regular expression, for `regex`.

    Raises ValueError where a phrase has brackets without their match.
    """
    return "|".join(f"(?:{one})" for item in items(given) for one in _expressions(item))


class Wording:
    """What a pack gives as words (a text, a mapping, or a list of these) as one search.

    It is compiled when a text first holds the letters of one of its phrases: few labels hold any
    words of most rules, and compiling all of them takes 12 % of a cold start.
    """

    __slots__ = ("_given", "_pattern", "_runs")

    def __init__(self, given: Any) -> None:
        self._given = given
        self._runs = letter_runs(given)
        self._pattern: re.Pattern[str] | LinearSearch | None = None

    def compiled(self) -> re.Pattern[str] | LinearSearch:
        """Returns the search as a regular expression.

        Raises re.error where a regular expression is none, ValueError where a phrase has brackets
        without their match.
        """
        if self._pattern is None:
            expressions = [one for item in items(self._given) for one in _expressions(item)]
            others = [text for _, key, text in sources(self._given) if key == LINEAR]
            if others:
                from panellint.core.linear_search import LinearSearch

                self._pattern = LinearSearch(others, regex(*expressions) if expressions else None)
            else:
                self._pattern = regex(*expressions)
        return self._pattern

    def search(self, text: str) -> re.Match[str] | None:
        """Returns the first place in a text where it stands; None where it stands nowhere."""
        return self.compiled().search(text) if self.may_stand_in(text) else None

    def finditer(self, text: str) -> Iterator[re.Match[str]]:
        """Returns every place in a text where it stands, in order."""
        return self.compiled().finditer(text) if self.may_stand_in(text) else iter(())

    def match(self, text: str, start: int = 0) -> re.Match[str] | None:
        """Returns its place at an offset of a text; None where it does not stand there."""
        return self.compiled().match(text, start) if self.may_stand_in(text) else None

    def fullmatch(self, text: str) -> re.Match[str] | None:
        """Returns the whole text where that is what is searched for; None where it is not."""
        return self.compiled().fullmatch(text) if self.may_stand_in(text) else None

    def may_stand_in(self, text: str) -> bool:
        """Returns False where the text surely does not hold it. A check of many short texts asks
        once of all of them."""
        if not self._runs or (self._pattern is not None and len(text) < _SHORT):
            return True
        folded = _folded(text)
        for phrase in self._runs:
            for runs in phrase:
                for run in runs:
                    if run in folded:
                        break
                else:
                    break  # none of the choices of this word
            else:
                return True
        return False


@lru_cache(maxsize=64)
def _folded(text: str) -> str:
    """Returns a text in which letters are the same that a search in any case takes for the same.
    All words of the packs are searched for in the same few texts of a label."""
    return text.casefold().replace("\u0307", "").replace("\u0131", "i")


def letter_runs(given: Any) -> list[list[list[str]]]:
    """Returns for each phrase of a pack's words what is in every text where the phrase stands: of
    each word that must stand a run of letters, one for each of its choices. Returns nothing at
    all where that is not known of one of the phrases."""
    found = []
    for _, key, phrase in sources(given):
        if key in ("words", "exact"):
            choices = [[_longest_run(one) for one in word.split("|")] for word in _solid(phrase)]
            known = [runs for runs in choices if all(runs)]
            # The longest word is the rarest.
            found.append(sorted(known, key=lambda runs: min(map(len, runs)), reverse=True))
        elif key in ("regex", LINEAR):
            return []
    return found if all(found) else []


def _solid(phrase: str) -> Iterator[str]:
    """Yields the words of a phrase that must stand."""
    depth = 0
    for part in _PARTS.findall(phrase):
        if part in "()":
            depth += 1 if part == "(" else -1
        elif not depth:
            yield part


def _longest_run(word: str) -> str:
    if word == "and":
        return ""
    runs = [_NUMBER_ENDING.sub("", run) for run in _LETTERS.findall(_folded(word))]
    return max(runs, key=len, default="")


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
    after = [phrase_expression(one) for one in items(item.get("not-before", []))]
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
    found = ""
    for number, part in enumerate(tree):
        ends = plural and number >= last
        own = _word(part, ends) if isinstance(part, str) else _sequence(part, ends)
        gap = _gap(tree, number)
        if isinstance(part, str):
            found += (gap if number > solid else "") + own
        elif number < solid:
            found += f"(?:{own}{_GAP})?"
        else:
            found += f"(?:{gap}{own})?"
    return found


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
    forms = [_form(one, plural) for one in word.split("|")]
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
