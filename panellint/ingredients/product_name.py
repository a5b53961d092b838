"""What a product's name promises: its tiers and the ingredients it names, in order.

The words are data (`rules/words/names.yaml`); what a tier asks stands in the rule packs.
"""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Iterable, Iterator, Mapping
from decimal import Decimal
from functools import cache, partial
from typing import TYPE_CHECKING, Any, NamedTuple

from panellint.catalogue.model import Match
from panellint.core.numbers import first_decimal
from panellint.core.source import Span, SpanIndex
from panellint.core.text import fold, name_key, one_line
from panellint.core.wording import regex, spaced
from panellint.ingredients.mentions import Lookup, Mention, is_listed, mentions
from panellint.label.markup import blanked
from panellint.label.model import Label
from panellint.rulepacks.data import data

if TYPE_CHECKING:
    from panellint.catalogue import Catalogue

_WORD = re.compile(r"[^\W_]+(?:['’-][^\W_]+)*")
_CUT = re.compile(r"\s+[–—-]\s+|[,:;|]\s*")
_JOINED = re.compile(r"(?:&|\+|,|\band)\s*\Z", re.IGNORECASE)
_DASH = re.compile(r"(?:\s[–—|-]|:)\s+$")


class Named(NamedTuple):
    """An ingredient that the product's name names: printed words (lower case) and place."""

    name: str
    span: Span
    match: Match


class Promise(NamedTuple):
    """One promise of the name. `percent` is a figure printed in the name ("97 % tuna")."""

    id: str
    tier: str
    text: str
    span: Span
    named: tuple[Named, ...]
    percent: Decimal | None = None
    descriptor: str = ""


class _Words(NamedTuple):
    """The words of one market, compiled; a pattern without words is None."""

    patterns: dict[str, re.Pattern[str] | None]
    tiers: dict[str, str]
    absent_after: re.Pattern[str]
    absent_before: re.Pattern[str]
    denial: re.Pattern[str]
    liquid: re.Pattern[str]
    diet: re.Pattern[str]
    percent: re.Pattern[str]
    process: re.Pattern[str]
    treated: re.Pattern[str]
    not_named: frozenset[str]
    kinds: re.Pattern[str]
    only_declared: frozenset[str]
    joining: frozenset[str]


@cache
def _words(market: str) -> _Words:
    names: dict[str, Any] = data("words/names")
    own = names["markets"][market]
    tiers = ("all", "rich", "with", "flavour", "flavour-before", "implying")
    patterns = {key: regex(*own[key]) if own.get(key) else None for key in tiers}
    described = [rf"\b(?:{'|'.join(own['descriptor'])})\b"] if own.get("descriptor") else []
    compound = [rf"(?<=\w)-?(?:{'|'.join(own['compound'])})\b"] if own.get("compound") else []
    patterns["descriptor"] = regex(*described, *compound) if described or compound else None
    patterns["compound"] = regex(*compound) if compound else None
    return _Words(
        patterns,
        own["tiers"],
        regex(*names["absent"]["after"]),
        *_absent_before(names["absent"]),
        regex(*names["liquid"]),
        regex(*(rf"\b(?:{expression})" for expression in names["diet"])),
        re.compile(spaced(names["percent"])),
        regex(rf"(?:{'|'.join(names['process'])})\b"),
        regex(rf"(?:{'|'.join(names['treated'])})\b"),
        frozenset(names["not-named"]),
        regex(*own.get("kinds-of-food", ())),
        frozenset(names["only-declared"]),
        frozenset(names["joining"]),
    )


def _absent_before(absent: Mapping[str, Any]) -> tuple[re.Pattern[str], re.Pattern[str]]:
    """Returns the words before a name that is said to be absent, others that are before it too; and
    a line that begins with such words ("No corn, wheat or soy")."""
    conjunctions = data("words/declarations")["conjunctions"].values()
    joined = "|".join(re.escape(word) for words in conjunctions for word in words)
    before, up_to = "|".join(absent["before"]), rf"(?!\b(?:{'|'.join(absent['up-to'])})\b)"
    another = rf" {up_to}[^\W\d_]+[,-]?"
    return (
        regex(rf"(?:{before})(?:(?:{another}){{1,3}} (?:{joined}))?"),
        re.compile(rf"^\W*(?:{before})(?:{up_to}[^\n])*", re.IGNORECASE | re.MULTILINE),
    )


def read_promises(
    label: Label, catalogue: Catalogue, *, market: str = "us", language: str = "en"
) -> tuple[Promise, ...]:
    """The promises in a label's product name, in printed order."""
    if not label.product_name:
        return ()
    text = blanked(label.source.slice(label.product_name_span))
    words = _words(market)
    lookup = partial(catalogue.lookup, market=market, language=language)
    named = sorted(_named(text, words, lookup, label), key=lambda named_entry: named_entry.span)
    promises: list[Promise] = []
    base = label.product_name_span.start
    for start, end, tier_hint in _listed(_parts(text, words), text, named, words):
        inside = _from(named, start, end)
        for promise in _promises_of(text, start, end, tier_hint, inside, words, base):
            promises.append(promise._replace(id=f"p{len(promises) + 1}"))
    return tuple(promises)


def _named(text: str, words: _Words, lookup: Lookup, label: Label) -> Iterator[Named]:
    """The ingredients that the name names. A composed name ("duck feet") and one that ends with
    the food's use ("beef jerky") are such where the label declares them; so is one by its
    treatment ("hydrolyzed soy") where an entry begins with it. No organ is of a dietetic food."""
    declared = {name_key(entry.name): entry.name for entry in label.declaration}
    matches = (lookup(entry.name) for entry in label.declaration)
    listed = {match.known.id for match in matches if match and match.how == "listed"}
    stated = (label.source.slice(adequacy.span) for adequacy in label.adequacy)
    is_dietetic = words.diet.search(" ".join((text, *stated))) is not None
    aside = [words.liquid, words.denial, words.kinds]
    if brand := label.facts["brand"][0] if "brand" in label.facts else _brand(text, label):
        aside.append(re.compile(re.escape(brand)))
    apart = SpanIndex(Span(*match.span()) for find in aside for match in find.finditer(text))
    flavour = words.patterns["flavour"]

    def declared_as(printed: str) -> str:
        key = name_key(printed)
        if key in declared:
            return declared[key]
        # "green bison tripe" of which the list has "bison tripe"
        ends = (name for own, name in declared.items() if " " in own and key.endswith(f" {own}"))
        if not words.treated.match(printed):
            return next(ends, "")
        return next((name for own, name in declared.items() if own.startswith(f"{key} ")), "")

    def accepts(mention: Mention) -> bool:
        start, end = mention.span
        printed = text[start:end]
        known = mention.match.known
        if known.id in words.not_named or (is_dietetic and known.kind == "organ"):
            return False
        if mention.name in words.not_named:
            return False
        for_use = mention.size > 1 and mention.name.rpartition(" ")[2] in words.not_named
        # "Bully sticks" are beef pizzle by definition.
        if (for_use or not is_listed(mention)) and not (
            declared_as(printed) or (for_use and known.id in listed)
        ):
            return False
        if mention.name in words.only_declared and not (
            declared_as(printed) or _JOINED.search(text, max(0, start - _LEAD), start)
        ):
            return False
        return not (
            apart.overlap(Span(start, start + 1))
            or (flavour and flavour.search(printed))
            # "freeze-dried chicken dinner": the dinner is freeze-dried
            or (mention.size > 1 and words.process.match(printed))
            or words.absent_after.match(text, end)
            or _before(words.absent_before, text, start)
        )

    before: set[str] = set()
    for mention in mentions(text, lookup, accepts=accepts):
        (start, end), match = mention.span, mention.match
        # "Bone broth - turkey" names what the list calls "turkey bone broth".
        own = name_key(mention.name)
        if own not in declared and _DASH.search(text, max(0, start - _LEAD), start):
            whole = (
                key for key in declared if key.startswith(f"{own} ") and key.split()[-1] in before
            )
            match = lookup(next(whole, "")) or match
        before.update(own.split())
        if match.how == "composed":
            match = lookup(declared_as(text[start:end])) or match
        # "Tender rabbit" names rabbit: words that change nothing are no part of the name.
        for word in _WORD.finditer(text, start, end) if match.how == "qualified" else ():
            rest = lookup(text[word.start() : end])
            if rest is not None and rest.known.id == match.known.id:
                start, match = word.start(), rest
        # Nor are those behind it: "Chicken Raw Frozen".
        for word in list(_WORD.finditer(text, start, end))[:0:-1]:
            rest = lookup(text[start : word.start()].rstrip()) if match.how == "qualified" else None
            if rest is None or rest.known.id != match.known.id:
                break
            end, match = start + len(text[start : word.start()].rstrip()), rest
        yield Named(fold(text[start:end]), Span(start, end), match)
    for named in _in_compounds(text, words, lookup):
        if not (is_dietetic and named.match.known.kind == "organ"):
            yield named


def _brand(text: str, label: Label) -> str:
    """Returns the first words of the name with which the maker's begins too: "Juniper Row" of
    "Juniper Row Chicken Dinner", which "Juniper Row, 41 Depot Avenue" made; a single word may be a
    food, and a maker that is named amid a sentence is none of the name's."""
    words = list(_WORD.finditer(text))[: data("words/blocks")["lengths"]["brand-words"]]
    called = [text[words[0].start() : last.end()] for last in reversed(words[1:])]
    return next(
        (
            brand
            for brand in called
            for section in label.sections_of("maker")
            if re.match(rf"\W*{re.escape(brand)}\b", section.text, re.IGNORECASE)
        ),
        "",
    )


def _in_compounds(text: str, words: _Words, lookup: Lookup) -> Iterator[Named]:
    """The ingredients named inside another word: the salmon of "Lachsmenü", "Entenmenü"."""
    compound = words.patterns["compound"]
    for match in compound.finditer(text) if compound else ():
        start = match.start()
        while start and text[start - 1].isalpha():
            start -= 1
        name = text[start : match.start()]
        for ending in ("", "n", "en", "er", "s", "e"):
            known = lookup(name.removesuffix(ending)) if name.endswith(ending) else None
            if known is not None and is_listed(Mention(name, Span(0, 0), known, 1)):
                yield Named(fold(name), Span(start, match.start()), known)
                break


#: So far before a name is looked for words by which it is absent.
_LEAD = 60


def _before(pattern: re.Pattern[str], text: str, start: int) -> bool:
    lead = text[max(0, start - _LEAD) : start].rstrip()
    return any(match.end() == len(lead) for match in pattern.finditer(lead))


def _parts(text: str, words: _Words) -> Iterator[tuple[int, int, str]]:
    """Stretches of the name that promise by themselves: before "with", after it, after a dash."""
    starts: dict[int, str] = {0: ""}
    taken = bytearray(len(text) + 1)
    for tier in ("flavour-before", "rich", "with"):
        pattern = words.patterns[tier]
        for match in pattern.finditer(text) if pattern else ():
            if not taken[match.start()]:
                starts[match.start()] = tier
                taken[slice(*match.span())] = b"\1" * (match.end() - match.start())
    for match in _CUT.finditer(text):
        starts.setdefault(match.end(), "")
    places = sorted(starts)
    for place, end in zip(places, [*places[1:], len(text)], strict=True):
        yield place, end, starts[place]


def _from(named: list[Named], start: int, end: int) -> list[Named]:
    """Those that begin in a stretch, of what is sorted by its place."""
    first, last = (
        bisect_left(named, at, key=lambda named_entry: named_entry.span.start)
        for at in (start, end)
    )
    return named[first:last]


def _listed(
    parts: Iterable[tuple[int, int, str]], text: str, named: list[Named], words: _Words
) -> Iterator[tuple[int, int, str]]:
    """Parts put together where the comma between them parts the names of one list ("chicken,
    rice & barley recipe" promises one thing of all three), and where what is said of the names
    stands before a dash ("Broth topper - turkey") or names none ("Kitten Recipe, Turkey")."""
    descriptor = words.patterns["descriptor"]
    held: tuple[int, int, str] | None = None
    for start, end, hint in parts:
        if held is not None:
            before = [n.span.end for n in _from(named, *held[:2])]
            after = [n.span.start for n in _from(named, start, end)]
            if (
                not hint
                and before
                and after
                and text[before[-1] : start].strip() == ","
                and set(text[start : after[0]].lower().split()) <= {*words.joining, "&"}
            ) or (
                not (hint or held[2])
                and after
                and (_DASH.search(text, *held[:2]) or not before)
                and descriptor
                and descriptor.search(text, *held[:2])
            ):
                held = (held[0], end, held[2])
                continue
            yield held
        held = (start, end, hint)
    if held is not None:
        yield held


def _promises_of(
    text: str, start: int, end: int, hint: str, named: list[Named], words: _Words, base: int
) -> Iterator[Promise]:
    if not named:
        return
    part = text[start:end]
    flavour = words.patterns["flavour"]
    flavoured: list[Named] = []
    if flavour and hint != "flavour-before":
        last = None
        for match in flavour.finditer(part):
            last = match
            flavoured = [n for n in named if n.span.start < start + match.start()]
        if flavoured and last:
            yield _promise(text, base, "flavour", flavoured, start + last.end(), words)
            named = [n for n in named if n not in flavoured]
            if not named:
                return
    if hint:
        tier = "flavour" if hint == "flavour-before" else hint
        yield _promise(text, base, tier, named, named[-1].span.end, words, begin=start)
        return
    descriptor = words.patterns["descriptor"]
    described = None
    for match in descriptor.finditer(part) if descriptor else ():
        inside = any(n.span.start <= start + match.start() < n.span.end for n in named)
        if described and "\n" in part[described.end() : match.start()]:
            break  # "Banana Biscuits", and below it "Treats for dogs"
        if not inside:
            described = match
    everything = words.patterns["all"]
    implying = words.patterns["implying"]
    implied = implying.match(text, named[-1].span.end, end) if implying else None
    if everything and any(
        named[0].span.start - (start + m.end()) in {0, 1} for m in everything.finditer(part)
    ):
        yield _promise(text, base, "all", named, named[-1].span.end, words, begin=start)
    elif described:
        after = max(start + described.end(), named[-1].span.end)
        promise = _promise(text, base, "descriptor", named, after, words)
        yield promise._replace(descriptor=described.group())
    elif implied:
        promise = _promise(text, base, "descriptor", named, implied.end(), words)
        yield promise._replace(descriptor=implied.group().strip())
    else:
        yield _promise(text, base, "bare", named, named[-1].span.end, words)


def _promise(
    text: str,
    base: int,
    tier: str,
    named: list[Named],
    end: int,
    words: _Words,
    *,
    begin: int | None = None,
) -> Promise:
    start = named[0].span.start
    lead = text[max(0, start - 8) : start]
    figure = None
    for match in words.percent.finditer(lead):
        if not lead[match.end() :].strip():
            figure = first_decimal(match["figure"])
            start -= len(lead) - match.start()
    if begin is not None:
        start = min(start, begin + len(text[begin:start]) - len(text[begin:start].lstrip()))
    return Promise(
        id="",
        tier=words.tiers[tier],
        text=one_line(text[start:end]),
        span=Span(base + start, base + end),
        named=tuple(
            Named(n.name, Span(base + n.span.start, base + n.span.end), n.match) for n in named
        ),
        percent=figure,
    )
