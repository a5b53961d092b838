"""The blocks of a label that stand without a heading: what each line is, by evidence.

Headings and statements part a text first (`sections`). What lies between them, and the lines that
follow where a section may end without a sign, are a sequence of lines of unknown kind: each line
has signs (its figures and words, known names of ingredients, the heading above, what stands on the
line before), and the sequence of kinds with the greatest weight is taken. Signs and weights are
data (`rules/words/blocks.yaml`).
"""

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import cache
from itertools import islice
from typing import Any, NamedTuple

from panellint.core.source import Source, Span
from panellint.core.text import fold
from panellint.core.wording import regex
from panellint.label.evidence import expressions, is_sentence, maybe
from panellint.label.guarantees import names_nutrient
from panellint.label.headings import Heading, headings_in
from panellint.label.kinds import kinds
from panellint.label.model import Section
from panellint.label.statements import open_statement, statement_kind
from panellint.rulepacks.data import EXPRESSIONS, data, search

#: Says of printed words whether they are the name of an ingredient (in the language given).
IsName = Callable[..., bool]

_LINE = re.compile(r"[^\n\r]+")
#: "Net Wt 4 oz (113 g). Quillbrook Larder, Quillbrook, VT 05099", and with bars between.
_SENTENCES = re.compile(
    r"[^\n\r.](?:[^\n\r.·•|/–—]|[·•|/–—](?![ \t])"
    r"|(?<=\b[Nn][or])\."
    r"|\.(?!\s+(?:[A-Z](?:[a-zà-ÿ]{2}|[A-Z]{2}|[A-Z]\b)|\d[\d.,]{0,6} ?(?:k?g|m?l)\b)))*"
    r"(?:[.·•|/–—][ \t]+)?"
)
_WORD = re.compile(r"[^\W\d_]+")
_PIECE = re.compile(r"(?:[^,;/|()\[\]{}\d]|(?<=\w)\d)+")
_BRACKET = re.compile(r"[(\[{][^()\[\]{}]*[)\]}]?")
_ALL = re.compile(r"\b100 ?%")
#: The sign behind a quantity ("800 g e") is no Italian “and”.
_OPEN = re.compile(
    r"[,;(\[{&-]\s*$|\b(?:and|or|und|et|y|(?<!g )(?<!l )(?<!g\) )(?<!l\) )e|en|of|with)\s*$",
    re.IGNORECASE,
)
_UNCLOSED = re.compile(r"[(\[{][^()\[\]{}]*\Z")
_SMALL = re.compile(r"[a-zà-ÿ(]")
#: A line of a list: names between commas.
_LISTED = re.compile(r", [^,.]+,[^,.]+$")
_BULLETS = " \t\u00a0•·✓✔▪‣◦–—|#>"
#: So far into a line is looked, and at so many of its pieces: lists have no end.
_FAR, _PIECES = 400, 60
#: A line that is set in by so much does not go on with the one before.
_FAR_IN = 12
#: A line below others that is not set in, or by so much.
_BEGINS = re.compile(rf"\n(?:\S|[ \t]{{{_FAR_IN}}})")
#: So many characters before a line are looked at; a line that is so long may be wrapped.
_BACK = 40
_EDGE = re.compile(r"^[\W\d_]+|[\W_]+$")


class _Line(NamedTuple):
    """A line of a section: where its words stand, and by which weight it goes on with the line
    before (`rules/words/blocks.yaml`)."""

    span: Span
    joint: str


class _Names(NamedTuple):
    """How a section's lines are looked at for a list: with whose names (None where no list is
    looked for), whether the product's name stands among them, whether the guarantees follow."""

    is_name: IsName | None
    beside_name: bool
    before_guarantees: bool


def blocks(
    source: Source, sections: Sequence[Section], is_name: IsName | None
) -> tuple[Section, ...]:
    """Returns the sections with those parted that hold lines of another kind.

    `is_name` tells the names of ingredients; without it no list is told by its names.
    """
    carried: Mapping[str, float] = data("words/blocks")["carried"]
    approval = _approval()
    headed = {
        s.kind
        for s in sections
        if (s.kind not in carried or s.text)
        and not (s.kind == "maker" and approval.search(source.slice(s.heading)))
    } - {"untitled"}
    parted: list[Section] = []
    for number, section in enumerate(sections):
        loose = section.kind in carried and _may_part(source, section)
        lines = list(_lines(source, section)) if loose else []
        if len(lines) > (section.kind not in kinds("unheaded")):
            after = sections[number + 1].kind if number + 1 < len(sections) else ""
            names = _Names(
                None if "declaration" in headed else is_name,
                section.kind == "product-name" or (number == 0 and section.kind == "untitled"),
                after == "guarantees",
            )
            for part in _parted(source, section, lines, headed - {section.kind}, names):
                # "400 g / Quillbrook Larder, Mill Lane 4 / Lot 33" has no heading.
                pieces = list(_lines(source, part)) if _may_part_again(section, part) else []
                if len(pieces) > 1:
                    elsewhere, headless = (
                        headed - {part.kind},
                        part.heading.end == part.heading.start,
                    )
                    parted += _parted(source, part, pieces, elsewhere, names, by_sign=headless)
                else:
                    parted.append(part)
        else:
            parted.append(section)
    lists = [s for s in parted if s.kind == "declaration" and is_name]
    named = [s for s in lists if is_name and any(map(is_name, _pieces(s.text)))]
    # "Ingredients we are proud of" begins like a heading; "One ingredient: duck, dried." on the
    # front says what the list says.
    long = [s for s in named if " " in source.slice(s.heading)]
    own = next((_words_of(s) for s in named if " " not in source.slice(s.heading)), frozenset())
    front = [s for s in long if own and (_words_of(s) <= own or own <= _words_of(s))]
    apart = {*lists} - {*named} if named else set()
    praise = {s for s in (*apart, *front) if s.text}
    return tuple(s._replace(kind="unknown") if s in praise else s for s in parted)


@cache
def _approval() -> re.Pattern[str]:
    """Returns a search for the heading of a plant's approval number, which names nobody."""
    return regex(data(EXPRESSIONS)["expressions"]["approval-heading"])


def _words_of(section: Section) -> frozenset[str]:
    return frozenset(_WORD.findall(fold(section.text)))


def _may_part(source: Source, section: Section) -> bool:
    """Returns False for one line without sentences, and where all lines below are set in."""
    if section.kind in kinds("unheaded"):
        return True
    if "\n" not in section.text:
        return section.kind in kinds("by-pieces")
    return bool(_BEGINS.search(section.text) or _is_set_in(source, section))


def _may_part_again(section: Section, part: Section) -> bool:
    """Returns True for a line whose sentences may be of other kinds and were not looked at."""
    whole = part.kind != section.kind or "\n" in section.text
    return whole and "\n" not in part.text and part.kind in kinds("by-pieces")


def _is_set_in(source: Source, section: Section) -> bool:
    start = min(section.heading.start, section.body.start)
    return source.text[source.text.rfind("\n", 0, start) + 1 : start + 1][:1].isspace()


def _lines(source: Source, section: Section) -> Iterator[_Line]:
    """Yields the lines of a section; one that is set in goes on with one that is not."""
    set_in, unheaded = _is_set_in(source, section), section.kind in kinds("unheaded")
    line, end = None, 0
    in_pieces = "\n" not in section.text and section.kind in kinds("by-pieces")
    pattern = _SENTENCES if in_pieces or section.kind in kinds("by-sentences") else _LINE
    for match in pattern.finditer(section.text):
        printed = match.group()
        words = printed.strip(_BULLETS + "/")
        if not words:
            continue
        start = section.body.start + match.start() + printed.index(words)
        span = Span(start, start + len(words))
        deep = printed[:_FAR_IN].isspace()  # the right column of a page
        apart = section.text.count("\n", end, match.start()) > 1
        if line is not None and printed[0] in " \t" and not (set_in or deep or apart):
            line = line._replace(span=line.span.cover(span))
        else:
            if line is not None:
                yield line
            line = _Line(span, _joint(section.text, end, match.start(), words, unheaded))
        end = match.end()
    if line is not None:
        yield line


def _joint(text: str, end: int, start: int, words: str, unheaded: bool) -> str:
    """Returns how a line that starts there is joined to the one that ends before it."""
    if text.count("\n", end, start) > 1:
        return "apart"
    before = text[max(0, end - _BACK) : end].rpartition("\n")[2]
    if _OPEN.search(before) or _UNCLOSED.search(before):
        return "open"
    if before.endswith((".", "!", "?")):
        return "follows"
    if open_statement(text, max(0, end - _FAR), end) is not None:
        return "open"
    long = len(before) == _BACK and not before.endswith("%")
    if _SMALL.match(words) and (long or not _SMALL.match(before)):
        return "small"
    if not long:
        return "follows"
    return "listed" if unheaded and _LISTED.search(before) else "wrapped"


def _parted(
    source: Source,
    section: Section,
    lines: Sequence[_Line],
    elsewhere: set[str],
    names: _Names,
    *,
    by_sign: bool = False,
) -> Iterator[Section]:
    """Yields the section's blocks: the most likely sequence of kinds of its lines. With `by_sign`
    the first line too is known by its own signs alone."""
    given = data("words/blocks")
    weights = given["weights"]
    own = section.kind
    steps: list[dict[str, float]] = []
    for number, line in enumerate(lines):
        if number == 0 and own not in kinds("unheaded") and not by_sign:
            steps.append({own: 0.0})
            continue
        if own == "guarantees" and names_nutrient(source.slice(line.span)):
            steps.append({own: weights["statement"]})
            continue
        signs = _signs_of(source, line.span)
        if own == "guarantees":  # the box of the modernised US label holds its calories
            signs.pop("calories", None)
        words = source.slice(line.span)
        if number == 0 and names.beside_name and search("words/blocks", "named").match(words):
            signs.pop("net-contents", None)  # "Chicken Dinner Cat Food, 156 g"
        title = _title(source, line.span) if own in kinds("by-pieces") else None
        if title is not None:  # "3 kg | Charge L2047"
            signs[title.kind] = weights["statement"]
        if line.joint == "small":  # the rest of a name stands first
            words = words.partition(",")[2] or words
        weight = _as_list(words, names, number, number == len(lines) - 1)
        pieces = weights["list"]["under-unknown"]  # "Sources of protein: duck" is no list
        if weight and (
            number or own != "unknown" or len(_pieces(source.slice(line.span))) >= pieces
        ):
            signs["declaration"] = weight
        for kind in elsewhere & signs.keys():
            signs[kind] += weights["elsewhere"]
        signs["untitled"] = signs.get("untitled", 0) + weights["untitled"]
        row = source.slice(line.span) if own == "declaration" else ""
        if "|" in row and maybe(row, "guarantees"):  # a guarantee that cannot be read
            signs["untitled"] += weights["statement"]
        # A line below a list's full stop is a remark, unless it is a list.
        ended = (
            own == "declaration"
            and line.joint == "follows"
            and source.text[lines[number - 1].span.end - 1] == "."
        )
        signs[own] = signs.get(own, 0) + (0 if ended else given["carried"][own])
        steps.append(signs)
    best = _best(steps, lines, weights)
    start = 0
    for number in range(1, len(lines) + 1):
        if number == len(lines) or best[number] != best[start]:
            body = Span(lines[start].span.start, lines[number - 1].span.end)
            has_heading = start == 0 and section.heading.end > section.heading.start
            heading = section.heading if has_heading else Span(body.start, body.start)
            title = _title(source, lines[start].span) if own in kinds("by-pieces") else None
            if start and title is not None and title.kind == best[start]:
                heading, body = title.words, Span(min(title.after, body.end), body.end)
            base = section.body.start
            words = section.text[body.start - base : body.end - base]
            if has_heading and own == "unknown" and best[start] == "declaration":
                heading = Span(body.start, body.start)  # "What's in the bag: turkey, ..."
            elif has_heading and own == "unknown" and best[start] != own:
                # Words that no heading is known by are of what stands behind them.
                words = source.text[heading.start : body.start] + words
                heading, body = Span(heading.start, heading.start), heading.cover(body)
            lead = len(words) - len(words.lstrip())
            body, words = Span(body.start + lead, body.end), words.lstrip()
            near = _near(steps[start:number], best[start], weights["near"])
            yield Section("untitled" if near else best[start], heading, body, words, near)
            start = number


def _title(source: Source, line: Span) -> Heading | None:
    """The heading of a part of the small print that a sentence begins with."""
    heading = headings_in(source.text, line)[0]
    return heading if heading is not None and heading.kind in kinds("small-print") else None


def _best(
    steps: Sequence[Mapping[str, float]], lines: Sequence[_Line], weights: Mapping[str, Any]
) -> list[str]:
    """Returns the sequence of kinds with the greatest weight (Viterbi); of equal ones that which
    goes on with the kind before."""
    total = dict(steps[0])
    back: list[dict[str, str]] = []
    for step, line in zip(steps[1:], lines[1:], strict=True):
        before = max(total, key=lambda kind: total[kind])
        reached: dict[str, float] = {}
        came: dict[str, str] = {}
        for kind in sorted({*step, *total}):
            joint = 0 if (kind, line.joint) == ("untitled", "follows") else weights[line.joint]
            stay = total.get(kind, float("-inf")) + joint
            came[kind] = kind if stay >= total[before] else before
            reached[kind] = max(stay, total[before]) + step.get(kind, 0.0)
        back.append(came)
        total = reached
    kind = max(sorted(total), key=lambda kind: total[kind])
    kinds = [kind]
    for came in reversed(back):
        kind = came[kind]
        kinds.append(kind)
    return kinds[::-1]


def _near(steps: Sequence[Mapping[str, float]], kind: str, near: float) -> tuple[str, ...]:
    """Returns the kinds that lines speak for about equally, the one taken first; none where one
    kind leads."""
    shared = set.intersection(*(set(step) for step in steps)) - {"untitled"}
    total = {other: sum(step[other] for step in steps) for other in sorted(shared)}
    least = total.get(kind, float("inf")) - near
    others = [other for other, weight in total.items() if other != kind and weight >= least]
    return (kind, *others) if others else ()


def _signs_of(source: Source, line: Span) -> dict[str, float]:
    """Returns the kinds that the words and figures of a line speak for, with their weights."""
    words = source.text[line.start : min(line.end, line.start + _FAR)]
    weights: dict[str, float] = {}
    for kind, weight, pattern in _signs():
        if pattern.search(words):
            weights[kind] = weights.get(kind, 0) + weight
    statement = statement_kind(source, line, "untitled")
    if statement:
        weight = data("words/blocks")["weights"]["statement"]
        weights[statement] = max(weights.get(statement, 0), weight)
    return weights


@cache
def _signs() -> tuple[tuple[str, float, re.Pattern[str]], ...]:
    given = data("words/blocks")
    return tuple(
        (
            sign["kind"],
            sign["weight"],
            re.compile(
                expressions(sign["words"], sign.get("begins", ()))
                .replace("{quantity}", given["quantity"])
                .replace("{container}", given["container"])
            ),
        )
        for sign in given["signs"]
    )


def without_prose(sections: tuple[Section, ...], is_name: IsName | None) -> tuple[Section, ...]:
    """Returns the sections of a text without headings, which is a declaration alone; sentences in
    which no ingredient is named are none."""
    return tuple(
        section._replace(kind="untitled")
        if is_name
        and section.kind == "declaration"
        and is_sentence(section.text)
        and not any(map(is_name, _pieces(section.text)))
        else section
        for section in sections
    )


def _pieces(words: str) -> list[str]:
    """Returns what may be names at the head of a list, without brackets and figures."""
    matches = islice(_PIECE.finditer(_BRACKET.sub(" ", words)), _PIECES)
    return [piece for match in matches if (piece := _EDGE.sub("", match.group()[:_FAR]))]


def _as_list(words: str, names: _Names, number: int, is_last: bool) -> float:
    """Returns what speaks for a line of a section being a declaration: the known names among its
    pieces. Beside the product's name it takes more of them."""
    weights = data("words/blocks")["weights"]
    pieces = _pieces(words)
    is_last = is_last and names.before_guarantees and number > 0
    beside_name = names.beside_name and number < 3 and not is_last
    least = weights["list"]["beside-name"] if beside_name else 1
    if names.is_name is None or len(pieces) < least or not names.is_name(pieces[0]):
        return 0.0
    known = 1 + sum(map(names.is_name, pieces[1:]))
    if len(pieces) == 2 and _ALL.search(words) and names.is_name(" ".join(pieces)):
        known = 2  # "100 % beef tripe, dried"
    if len(pieces) >= weights["list"]["pieces"]:
        many = known >= weights["list"]["known"] * len(pieces)
        return float(weights["list"]["weight"]) if many else 0.0
    if known < len(pieces):
        return 0.0
    more = weights["all-of-it"] * bool(_ALL.search(words)) + weights["before-guarantees"] * is_last
    return float(weights["few"] * known + more)
