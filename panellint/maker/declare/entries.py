"""The declaration that a formula supports: official names, merged, in order of weight."""

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from functools import partial
from textwrap import fill

from panellint.catalogue import load
from panellint.core.phrases import capital
from panellint.core.text import one_line
from panellint.maker.component import Component, usual_order
from panellint.maker.context import BRACKET, Item, bare
from panellint.maker.formula import Formula
from panellint.rulepacks.data import data


def official(component: Component, market: str) -> str:
    """The name under which an ingredient is declared.

    What the sheet says it is declared as, else the sheet's own name. In the United States added
    water goes by what it is for, and meat of any cut ("chicken breast") by the catalogue's first
    name ("chicken").
    """
    line = component.line
    if component.is_water and market == "us":
        return "water sufficient for processing"
    if stated := line.declared_in.get(market, line.declared_as):
        return stated
    match = component.match
    purpose = data("data/batch")["purposes"].get(market, {})
    if match and match.known.kind in purpose:
        return f"{_spelled(component, market)} ({purpose[match.known.kind]})"
    cuts = data("data/batch")["name_of_kind"].get(market, ())
    if match is None or match.how != "listed" or match.known.kind not in cuts:
        return _spelled(component, market)
    above = load().get(match.known.kind_of) if match.known.kind_of else None
    return (above or match.known).names[0]


_MOST_PLACES = 4


def _spelled(component: Component, market: str) -> str:
    """A sheet's name in the spelling of the market, with the capitals that the catalogue keeps."""
    lookup = partial(load().lookup, market=market)
    name = usual_order(component.line.name, lookup)
    match = component.match
    if match and match.how == "listed" and not match.known.own_of and lookup(bare(name)) is None:
        name = match.known.names[0]  # the sheet is in another language
    name = _plain(name)
    listed = component.known.names if component.known else ()
    name = next(
        (spelling for spelling in listed if spelling.lower() == name.lower() != spelling), name
    )
    american = data("data/batch")["american"]
    if market in american["markets"]:
        british = data("words/spelling")["spelling"]
        words = {british[word]: word for word in american["words"]}
        name = re.sub(r"[^\W\d_]+", lambda m: words.get(m[0], m[0]), name)
    return name


def _plain(name: str) -> str:
    """A sheet's name as a declaration can hold it.

    Commas and brackets part entries and go; a bracket of plain words that follows the name
    ("ground with bone") qualifies it and stays. A capital that is only the sheet's goes too.
    """
    kept = [
        f" ({one_line(match[1])})"
        for match in BRACKET.finditer(name)
        if match.start()
        and re.fullmatch(r"[^\W\d_][^\W\d_ -]*(?:[ -][^\W\d_]+)*", match[1].strip())
    ]
    words = bare(name).translate({ord(char): " " for char in ",;()[]{}:"}).split()
    # A name with a number is one of a kind and keeps its capitals ("Red 40"), as a letter does.
    if not any(any(map(str.isdigit, word)) for word in words):
        words = [
            word.lower() if word.istitle() and word.isalpha() and word[1:] else word
            for word in words
        ]
    return " ".join(words) + "".join(kept)


def is_additive(component: Component) -> str:
    """The European heading under which an additive is listed; "" for a feed material."""
    known = component.known
    groups = data("data/batch")["additives"]
    if known is None:
        return ""
    if known.kind == "mineral" and not (
        known.supplies and set(known.supplies) <= set(groups["trace_elements"])
    ):
        return ""
    return next((head for head, kinds in groups["groups"].items() if known.kind in kinds), "")


def items_of(formula: Formula, market: str, grouped: bool) -> tuple[Item, ...]:
    """The entries of the declaration in descending order by weight.

    `grouped`: premixes stand as groups with their members; otherwise each member has its own
    place. Added water that has left again has none, nor in Europe water and additives.
    """
    europe = market in data("data/batch")["additives"]["markets"]
    single: list[Component] = []
    premixes: dict[str, list[Component]] = {}
    for component in formula.components:
        if not component.share:
            continue
        if component.is_water and (europe or not formula.keeps_water):
            continue
        if europe and is_additive(component):
            continue
        if grouped and component.inside and not europe:
            premixes.setdefault(component.inside[0], []).append(component)
        else:
            single.append(component)
    items = list(_merged(single, market))
    for name, members in premixes.items():
        inside = _in_order(_merged(members, market))
        share = sum((item.share for item in inside), Fraction(0))
        items.append(Item(_group_name(name, members), share, tuple(members), inside))
    return _in_order(items)


def _merged(components: Iterable[Component], market: str) -> Iterator[Item]:
    """Entries of one ingredient as one, under the name of the heaviest: two lots, or two names
    that the catalogue lists for it."""
    by_name: dict[str, list[Component]] = {}
    names: dict[str, str] = {}
    for component in components:
        name = official(component, market).lower()
        if component.match and component.match.how == "listed" and "(" not in name:
            name = names.setdefault(component.key, name)
        by_name.setdefault(name, []).append(component)
    for merged in by_name.values():
        share = sum((c.share for c in merged), Fraction(0))
        heaviest = max(merged, key=lambda component: component.share)
        yield Item(official(heaviest, market), share, tuple(merged))


def _in_order(items: Iterable[Item]) -> tuple[Item, ...]:
    return tuple(sorted(items, key=lambda item: (-item.share, item.name.lower())))


def _group_name(name: str, members: Sequence[Component]) -> str:
    """ "vitamins" and "minerals" where a premix holds nothing else; else its own name."""
    kinds = {c.known.kind if c.known else "" for c in members}
    if kinds == {"vitamin"}:
        return "vitamins"
    return "minerals" if kinds == {"mineral"} else _plain(name)


def with_percentages(items: Sequence[Item], named: frozenset[str], which: str) -> tuple[Item, ...]:
    """Percentages for the entries that are named ("named"), for all, or for none.

    `named` holds the names (lower case, without brackets) that the label stresses.
    """
    if which == "none":
        return tuple(items)
    return tuple(
        replace(item, percent=printed(item.share))
        if which == "all" or bare(item.name).lower() in named
        else item
        for item in items
    )


def printed(share: Fraction) -> str:
    """A share as a percentage for print, rounded half up: "58", "4.2".

    Rounding never carries it to a whole per cent that it does not reach, since what a name needs
    is one: 3.96 % is not printed as 4.0.
    """
    places = 0 if share >= Fraction(1, 10) else 1 if share >= Fraction(1, 100) else 2
    while True:
        whole = int(100 * share * 10**places + Fraction(1, 2))
        if whole // 10**places <= int(100 * share) or places > _MOST_PLACES:
            break
        places += 1
    return str(whole) if not places else f"{whole / 10**places:.{places}f}"


def sentence(items: Sequence[Item]) -> str:
    """The declaration as one sentence, its first letter a capital."""
    return f"{capital(', '.join(item.text for item in items))}."


def wrapped(section: str) -> str:
    """A section of a panel file, wrapped at 78 with an indent of two."""
    return fill(section, 78, subsequent_indent="  ", break_long_words=False, break_on_hyphens=False)
