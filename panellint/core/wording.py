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
from collections.abc import Iterable, Iterator, Mapping
from functools import lru_cache
from typing import Any

#: The keys of a mapping in a list of words.
KEYS = ("words", "exact", "regex", "not-before", "not-after")

_DASH = r"\-\u2010-\u2015"
_GAP = rf"(?:\s+|\s*[{_DASH}]\s*)"
_PARTS = re.compile(r"\(|\)|[^\s()]+")
_QUOTES = "['\u2018\u2019\u02bc]"
_NUMBER = r"(?:#\s?)?\d+(?:[.,]\d+)*"
_FEW_WORDS = r"(?:[^\w.;!?]+\w+){0,3}?"
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


def wording(given: Any) -> re.Pattern[str]:
    """Returns what a pack gives as words (a text, a mapping, or a list of these) as one search.

    Raises re.error where a regular expression is none, ValueError where a phrase has brackets
    without their match.
    """
    return regex(*(one for item in items(given) for one in _expressions(item)))


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


def sources(given: Any) -> Iterable[tuple[tuple[str | int, ...], str, str]]:
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
