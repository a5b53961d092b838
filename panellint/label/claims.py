"""The register of claims: what a label claims, classed by its words in every language.

The words stand in `rules/words/claims/`, a file a language with the same keys, and what a class
owes in `rules/words/claims.yaml`. An expression is compiled when a text first holds the letters of
one of its words.
"""

import re
from collections.abc import Callable, Iterator, Mapping
from functools import cache
from typing import Any, NamedTuple

from panellint.core.source import Span
from panellint.core.text import one_line
from panellint.core.wording import Wording, expression_of, items, regex, spaced
from panellint.label.kinds import kinds
from panellint.label.model import Label
from panellint.label.statements import read_claims
from panellint.rulepacks.data import data, data_files

_FOLDER = "words/claims/"
_LETTERS = re.compile(r"[^\W\d_]{2,}")


class Claim(NamedTuple):
    """What a label claims: the id of its class ("" where the words are of none), its words on one
    line, and their place."""

    kind: str
    words: str
    span: Span


@cache
def languages() -> Mapping[str, Any]:
    """Returns the words of each language by its code."""
    names = sorted(name for name in data_files() if name.startswith(_FOLDER))
    return {name.removeprefix(_FOLDER): data(name) for name in names}


@cache
def phrases(key: str) -> Wording:
    """Returns the phrases of every language under a key of `phrases`, as one search."""
    return Wording([phrase for words in languages().values() for phrase in words["phrases"][key]])


class Search:
    """Words of several kinds that must stand together, compiled when a text first holds the letters
    of all of them (`signs`)."""

    is_phrases = True

    def __init__(self, expression: Callable[[], str], *signs: Wording) -> None:
        self._signs, self._expression = signs, expression
        self._pattern: re.Pattern[str] | None = None

    def pattern_for(self, text: str) -> re.Pattern[str] | None:
        """Returns the search; None where a text surely does not hold it."""
        if not all(sign.may_stand_in(text) for sign in self._signs):
            return None
        if self._pattern is None:
            self._pattern = regex(self._expression())
        return self._pattern

    def finditer(self, text: str) -> Iterator[re.Match[str]]:
        """Yields every place in a text where it stands."""
        pattern = self.pattern_for(text)
        return pattern.finditer(text) if pattern else iter(())


@cache
def searches(kind: str) -> tuple[Search | Wording | re.Pattern[str], ...]:
    """Returns what finds the claims of a class in every language."""
    every = languages().values()
    if kind == "disease":
        cures = Wording([item for words in every for item in words["disease"]["cures"]])
        return (cures, *(_disease(words["disease"]) for words in every))
    if kind == "absence":
        return tuple(regex(*_absence(words["absence"])) for words in every)
    claims = Wording([item for words in every for item in items(words["claims"][kind])])
    functions = every if kind == "structure" else ()
    return (claims, *(_function(words["functions"]) for words in functions))


def _disease(words: Mapping[str, Any]) -> Search:
    def expression() -> str:
        parts = {key: expression_of(given) for key, given in words.items() if key != "cures"}
        word = r"(?:[\w’'-]+[\s’'])"
        return (
            rf"(?:(?:{parts['verbs']})[\s’']+{word}{{0,5}}?(?:{parts['diseases']})"
            rf"|(?:{parts['animals']})\s+(?:{parts['with']})[\s’']+{word}{{0,2}}?(?:{parts['diseases']})"
            rf"|(?:{parts['diseases']})[\s-]+(?:{parts['relief']})"
            rf"|(?:{parts['sufferers']})\s+(?:{parts['animals']}))"
        )

    told_by = [*words["verbs"], *words["animals"], *words["relief"]]
    return Search(expression, Wording([*words["diseases"], *words["sufferers"]]), Wording(told_by))


def _function(words: Mapping[str, Any]) -> Search:
    def expression() -> str:
        verbs, of = expression_of(words["verbs"]), expression_of(words["parts"])
        return rf"(?:{verbs})[\s’']+(?:[\w’'-]+[\s’']){{0,3}}?(?:{of})"

    return Search(expression, Wording(words["parts"]), Wording(words["verbs"]))


def _absence(words: Mapping[str, Any]) -> Iterator[str]:
    nothing = data("words/claims")["absence"]["nothing"]
    yield rf"(?:\b(?:{'|'.join(words['before'])})\b|{nothing})[^.,;!?\n]{{2,40}}"
    for after in words["after"]:
        yield rf"(?<![\w-])[\w-]+{after}"


def absence_opens() -> re.Pattern[str]:
    """Returns what opens a list of things said to be absent."""
    before = [word for words in languages().values() for word in words["absence"]["before"]]
    nothing = data("words/claims")["absence"]["nothing"]
    return regex(rf"\b(?:{'|'.join(before)})\b|{nothing}")


def absence_closes() -> re.Pattern[str]:
    """Returns what closes a list of things said to be absent."""
    return regex(*(word for words in languages().values() for word in words["absence"]["after"]))


def words_of(part: str, key: str) -> list[str]:
    """Returns the words of every language under a key of a part of its file."""
    return [word for words in languages().values() for word in words[part][key]]


def any_of(part: str, key: str) -> str:
    """Returns the plain words of every language under such a key, as an expression."""
    return spaced("|".join(map(re.escape, words_of(part, key))).replace(r"\ ", " "))


def claims_of(label: Label) -> tuple[Claim, ...]:
    """Returns what a label claims, in the order of the text; a claim on a disease may stand behind
    figures too. What stands where claims do and is of no class has none."""
    classes = [row["class"] for row in data("words/claims")["classes"]]
    name = label.product_name_span
    stretches = [(label.source.slice(name), name.start, "name")]
    stretches += [
        (label.source.slice(s.words), s.words.start, s.kind)
        for s in label.sections
        if s.kind in kinds("free")
    ]
    claims = [
        Claim(kind, one_line(match.group()), Span(base + match.start(), base + match.end()))
        for text, base, where in stretches
        for kind in classes
        if where in kinds("claiming") or where == "name" or kind == "disease"
        for search in searches(kind)
        for match in search.finditer(text)
    ]
    taken = bytearray(len(label.source.text))
    for span in (
        *(claim.span for claim in claims),
        *(adequacy.span for adequacy in label.adequacy),
    ):
        taken[slice(*span)] = b"\1" * (span.end - span.start)
    for text, base, where in stretches:
        for words, span in read_claims(text, base) if where in kinds("claiming") else ():
            if _LETTERS.search(words) and 1 not in taken[slice(*span)]:
                claims.append(Claim("", words, span))
                taken[slice(*span)] = b"\1" * (span.end - span.start)
    return tuple(sorted(set(claims), key=lambda claim: (claim.span, claim.kind)))
