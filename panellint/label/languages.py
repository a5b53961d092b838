"""The language of a label, from the headings of its parts."""

import re
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import cache, lru_cache
from itertools import combinations

from panellint.core.source import Source, Span
from panellint.core.text import fold
from panellint.label.columns import language_cells
from panellint.label.headings import PER_WEIGHT, heading_kind, phrase_at
from panellint.label.kinds import kinds
from panellint.label.model import Label, Section
from panellint.label.vocabulary import vocabulary
from panellint.rulepacks.data import data

_WORD = re.compile(r"[^\W\d_]+")
_CAPITALS = re.compile(r"\w*[A-ZÀ-Ý]{2}")
#: Taken where the headings leave more than one language open, or say nothing.
USUAL = "en"
#: So far into a section its small words are counted.
_FAR = 400
#: The parts of a heading in several languages; the sentences and lines below it; their pieces.
_PART_OF_HEADING = re.compile(r"[^\s/|–—-][^/|–—]*?(?=\s*(?:[/|–—]|-\s|\Z))")
_SENTENCE = re.compile(r"\S[^\n]*?(?:\.(?=[ \t]+[A-ZÀ-Þ])|(?=\s*(?:\n|\Z)))")
_JOINT = re.compile(r" [/|] ")
#: "Feeding guide (grams per day)".
_NOTE = re.compile(r"\s*\([^()]*\)\s*\Z")
#: The sign before the code of a language behind a heading: "Feeding (FR):", "ingredients_en:".
_BEFORE_CODE = r"(?:[ \t]*[ \t(\[|/–-][ \t]*|_)"
_PIECES = re.compile(r"[,;.()\[\]{}]")


def unread_language(label: Label) -> str | None:
    """The language of a label that is not read, by two at least of its statutory words; None
    where the guarantees or a list under its heading are read all the same."""
    if label.guarantees or (label.declaration and not label.bare):
        return None
    text = label.source.text.lower()
    counts = {
        row["language"]: sum(word in text for word in row["words"])
        for row in data("words/unread-languages")["languages"]
    }
    language = max(counts, key=lambda name: counts[name])
    return language if counts[language] > 1 else None


@lru_cache(maxsize=1024)
def languages_of_heading(kind: str, printed: str) -> frozenset[str]:
    """The languages that have such a heading; labels have few different ones."""
    words = fold(_NOTE.sub("", PER_WEIGHT.sub("", printed)))
    return frozenset(vocabulary()["languages"].get(kind, {}).get(words, ()))


@cache
def _marks() -> tuple[re.Pattern[str], re.Pattern[str], dict[str, str]]:
    """How a line begins that a language's code or name stands before, a heading that one stands
    behind, and their languages."""
    languages = {
        word: language
        for language, words in data("words/languages")["marks"].items()
        for word in words
    }
    word = "|".join(sorted(map(re.escape, languages), key=len, reverse=True))
    behind = "|".join(sorted((re.escape(word) for word in languages if word[1:]), reverse=True))
    return (
        re.compile(
            rf"^[ \t]*[(\[|]?(?P<words>(?:{word})(?:[ ]?[/|,+&-][ ]?(?:{word}))*)"
            r"(?:[ \t]*[)\]|:–-]+[ \t]*|[ \t]+(?P<before>(?=\w))|[ \t]*$)",
            re.MULTILINE,
        ),
        re.compile(
            rf"^[^\w\n]*(?P<head>[^\W\d_][^:\n|]{{1,40}}?)(?P<code>{_BEFORE_CODE}"
            rf"(?P<words>{behind})[)\]]?)(?=[ \t]*(?:[\"”]?[ \t]*[:;\t|]|$))",
            re.MULTILINE,
        ),
        languages,
    )


def language_marks(source: Source) -> dict[Span, str]:
    """Returns where lines begin with the code or the name of a language, with the first language
    that each names ("" for one that is not read); where fewer than two are named, those alone that
    stand before a heading, since a pack in one language marks little."""
    pattern, behind, languages = _marks()
    text = source.text
    marks = {
        Span(*match.span()): languages[re.split(r" ?[/|,+&-] ?", match["words"])[0]]
        for match in pattern.finditer(text)
        # "DE LUXE" is no mark, "DE ZUSAMMENSETZUNG" is one.
        if (match["before"] is None and match["words"][1:])
        or (match["words"][1:] and not _CAPITALS.match(text, match.end()))
        or _is_said_again(text, match.end())
    }
    if len(set(marks.values())) < 2:
        marks = {span: marks[span] for span in marks if _is_said_again(text, span.end)}
    return marks | {
        Span(*match.span("code")): languages[match["words"]]
        for match in behind.finditer(text)
        if fold(match["head"]) in vocabulary()["kinds"]
    }


def _is_said_again(text: str, place: int) -> bool:
    """Returns whether the heading of a part that a pack says in each language begins there."""
    word = _WORD.match(text, place)
    heading = phrase_at(text, word.group(), place) if word else None
    return heading is not None and heading_kind(heading.group()) in kinds("said-again")


def languages_of_sections(
    printed: Source, sections: Sequence[Section], is_name: Callable[..., bool] | None = None
) -> dict[Section, str]:
    """Returns the language of each section of a label that says its statements in several; nothing
    for a label in one.

    The sequence of languages with the greatest weight is taken (Viterbi): of the headings, of the
    marks, small words and names before and in a section, and of going on in one language.
    """
    marks, cells = language_marks(printed), list(language_cells(printed))
    headed = {s: languages_of_heading(s.kind, printed.slice(s.heading)) for s in sections}
    repeated = [s for s in sections if s.kind in kinds("said-again")]
    of_kinds = {(s.kind, headed[s]) for s in repeated if headed[s]}
    lists = sum(s.kind == "declaration" for s in repeated)
    if not marks and not cells and lists < 2:
        pairs = combinations(of_kinds, 2)
        if not any(part[0] == other[0] and not part[1] & other[1] for part, other in pairs):
            return {}
    weights = data("words/languages")["weights"]
    languages = languages_read()
    total = dict.fromkeys(languages, 0.0)
    back: list[dict[str, str]] = []
    ahead, stated_until = sorted(marks, reverse=True), 0
    for section in sections:
        votes = dict.fromkeys(headed[section], weights["heading"])
        while ahead and ahead[-1].start <= max(section.body.start, section.heading.start):
            mark = ahead.pop()
            if marks[mark] and mark.start >= stated_until:
                votes[marks[mark]] = votes.get(marks[mark], 0) + weights["mark"]
        stated_until = (
            section.body.end if section.kind == "adequacy" else 0
        )  # marks in it are its own
        for language in _leading(section.text[:_FAR], languages):
            votes[language] = votes.get(language, 0) + weights["words"]
        if is_name and lists > 1 and section.kind == "declaration":
            for language in {named for named, _ in _lists(section, languages, is_name)} - {""}:
                votes[language] = votes.get(language, 0) + weights["names"]
        joint = not headed[section] and {"/", "|"} & {*printed.slice(section.heading)}
        if joint or section.kind in kinds("added-fact"):  # of every language, or of none
            votes = {}
        for cell, language in cells:
            if cell.start <= section.body.start < cell.end:
                votes[language] = votes.get(language, 0) + 2 * weights["mark"]
        best = max(languages, key=total.__getitem__)
        came = {
            code: code if total[code] >= total[best] - weights["change"] else best
            for code in languages
        }
        total = {
            code: max(total[code], total[best] - weights["change"]) + votes.get(code, 0)
            for code in languages
        }
        back.append(came)
    language = max(languages, key=total.__getitem__)
    by_section: dict[Section, str] = {}
    for section, came in zip(reversed(sections), reversed(back), strict=True):
        by_section[section] = language
        language = came[language]
    return by_section if len({by_section[section] for section in repeated}) > 1 else {}


def by_language(
    source: Source, sections: Sequence[Section], is_name: Callable[..., bool] | None
) -> tuple[Section, ...]:
    """Returns the sections; a declaration with one heading in several languages over a list in each
    ("Ingredients / Ingrédients:") is parted, each list below the heading's words in its language.

    `is_name` tells whether words name an ingredient in a language.
    """
    parted: list[Section] = []
    at = 0
    while at < len(sections):
        section = sections[at]
        words = _words_by_language(source, section) if is_name else {}
        lists: list[tuple[str, Span]] = []
        after = at
        while is_name and len(words) > 1 and after < len(sections):
            part = sections[after]
            if after > at and part.kind != "untitled":
                break
            of_section = list(_lists(part, list(words), is_name))
            if after > at and not any(language for language, _ in of_section):
                break
            for language, span in of_section:
                if lists and language in ("", lists[-1][0]):
                    lists[-1] = (lists[-1][0], lists[-1][1].cover(span))
                else:
                    lists.append((language or next(iter(words)), span))
            after += 1
        # "Fish oil / Huile de poisson, ...": each entry says both, and there is one list.
        paired = any(" / " in source.slice(span).strip(" /|") for _, span in lists)
        if len(lists) > 1 and len(lists) == len(dict(lists)) and not paired:
            parted += [
                section._replace(heading=words[language], body=span, text=source.slice(span))
                for language, span in lists
            ]
            at = after
        else:
            parted.append(section)
            at += 1
    return tuple(parted)


def _words_by_language(source: Source, section: Section) -> dict[str, Span]:
    """Returns the heading's words in each language, where the heading of a list has several."""
    words: dict[str, Span] = {}
    printed = source.slice(section.heading) if section.kind == "declaration" else ""
    if section.kind == "declaration" and not printed and _is_joined(section.text):
        # A list without a heading with a slash before the same in another language.
        return dict.fromkeys(languages_read(), section.heading)
    parts = list(_PART_OF_HEADING.finditer(printed))
    if len(parts) > 1 and section.text == source.slice(section.body):
        among = {part: sorted(languages_of_heading(section.kind, part.group())) for part in parts}
        for part in sorted(parts, key=lambda part: len(among[part])):
            span = Span(*(section.heading.start + place for place in part.span()))
            for language in among[part]:
                words.setdefault(language, span)
    return words


def _is_joined(text: str) -> bool:
    """Returns whether one slash or bar between two lists parts one from the same in another
    language."""
    halves = _JOINT.split(text)
    return len(halves) == 2 and all("," in half for half in halves)


def _lists(
    section: Section, languages: Sequence[str], is_name: Callable[..., bool]
) -> Iterator[tuple[str, Span]]:
    """Yields the sentences and lines of a section, each with the language in which most of its
    pieces are names; "" where that is not one alone."""
    text = _JOINT.sub(" \n ", section.text) if _is_joined(section.text) else section.text
    for sentence in _SENTENCE.finditer(text):
        printed = sentence.group()[:_FAR]
        pieces = [piece for piece in map(str.strip, _PIECES.split(printed)) if piece]
        known = {
            language: sum(is_name(piece, language) for piece in pieces) for language in languages
        }
        best = max(known, key=known.__getitem__)
        alone = list(known.values()).count(known[best]) == 1
        span = Span(*(section.body.start + place for place in sentence.span()))
        yield best if alone else "", span


def _leading(text: str, among: Iterable[str]) -> list[str]:
    """Returns the languages of which most words stand in a text, small ones and those of a type of
    feed; none without any."""
    words = _WORD.findall(text.lower())
    known = _words_of_languages()
    counts = {code: sum(map(known[code].__contains__, words)) for code in among}
    most = max(counts.values(), default=0)
    return [count for count in counts if most and counts[count] == most]


@cache
def _words_of_languages() -> dict[str, frozenset[str]]:
    small, of_types = data("words/evidence")["sentence"], data("words/languages")["statement"]
    return {
        language: frozenset((*small.get(language, ()), *of_types[language]))
        for language in of_types
    }


def language_of_words(text: str, usual: str) -> str:
    """Returns the language of a sentence by its words, the usual one where these leave it open."""
    leading = _leading(text, languages_read())
    return usual if usual in leading or not leading else leading[0]


@cache
def languages_read() -> tuple[str, ...]:
    """The languages of which headings are known, the usual one first."""
    return (USUAL, *(code for code in vocabulary()["codes"] if code != USUAL))


def language_of(label: Label) -> str:
    """The first language of a label in several, else the one that most headings stand in; the facts
    that its user adds ("Form:", "Market:") do not count."""
    if label.translations:
        return label.translations[0].language
    votes = Counter(
        language
        for section in label.sections
        if section.kind not in kinds("added-fact")
        for language in languages_of_heading(section.kind, label.source.slice(section.heading))
    )
    most = max(votes.values(), default=0)
    leading = sorted(code for code in languages_read() if votes[code] == most)
    pasted = not any(section.heading.end > section.heading.start for section in label.sections)
    if len(leading) > 1 and (most or pasted):
        # "Composition" heads English and French lists, and a pasted text has no heading at all: the
        # small words of the text decide.
        leading = _leading(label.source.text, leading) or leading
    return USUAL if USUAL in leading else leading[0]
