"""Labels in several languages: what is due in each, and where one of them says otherwise.

What most languages say is taken for what the label says, of two the first; the finding stands at
the language that departs.
"""

import re
from collections import Counter
from collections.abc import Hashable, Iterable, Iterator, Mapping, Sequence
from functools import cache
from itertools import pairwise
from typing import NamedTuple

from panellint.analysis.additive_register import element_of
from panellint.analysis.context import LabelContext
from panellint.core.findings import Certainty, Observation, Related, State
from panellint.core.phrases import listed
from panellint.core.source import Source, Span
from panellint.core.text import one_line
from panellint.ingredients.model import Ingredient
from panellint.ingredients.resolve import identify
from panellint.label.languages import language_of_words
from panellint.label.ledger import Fate
from panellint.label.model import Label
from panellint.lint.checks.net_quantity import quantities_in
from panellint.lint.checks.support.label_parts import has_small_print, is_of_a_page, is_whole
from panellint.rulepacks.data import data
from panellint.rulepacks.model import Rule
from panellint.rulepacks.settings import country_called

#: Two headings with a bar between them.
_BESIDE = re.compile(r"[^\W\d_] ?[/|] ?[^\W\d_]")


_NOT_READ = (Fate.PROSE, Fate.UNREAD)


class _Said(NamedTuple):
    """One thing that a language says: as printed, its place, and what is compared."""

    printed: str
    span: Span
    value: Hashable = None


class _Version(NamedTuple):
    """What a label says in one language, with its list as it was understood."""

    language: str
    label: Label
    entries: Sequence[Ingredient]
    page: Source

    def place(self, kind: str) -> Span:
        """Returns the heading of a part, else that of the first part of this language."""
        sections = self.label.sections_of(kind) or self.label.sections
        headed = next(
            (section for section in sections if section.heading.end > section.heading.start),
            sections[0],
        )
        return headed.heading if headed.heading.end > headed.heading.start else headed.body

    def departs(self, variant: str, part: _Said, other: _Said | None = None) -> Observation:
        """Returns that this language departs from the others where a part stands."""
        related = [Related(other.span, "the other language has this")] if other else []
        values = {
            "name": part.printed,
            "language": self.language,
            "other": other.printed if other else "",
        }
        return Observation(part.span, Certainty.PRACTICE, values, variant, related=tuple(related))

    def lacks(self, kind: str, other: _Said, variant: str = "lacks") -> Observation:
        """Returns that this language lacks what another one has in a part."""
        return self.departs(variant, _Said(other.printed, self.place(kind)), other)


def differing(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds what one language of a label lacks or says otherwise than the others."""
    names = data("words/languages")["names"]
    labels = context.label.translations
    versions = [
        _Version(names[label.language], label, _entries(context, label), context.label.page)
        for label in labels
    ]
    if len(versions) > 1:
        yield from _parts(context, versions, rule.parameters.texts("parts"))
        yield from _lists(versions)
        for kind, table in _TABLES.items():
            yield from _compared(kind, [(version, table(version)) for version in versions])


def _entries(context: LabelContext, label: Label) -> tuple[Ingredient, ...]:
    if label is context.label.translations[0]:
        return context.entries
    known = identify(label, context.catalogue, market=context.market, language=label.language)
    return tuple(known.walk())


def _parts(
    context: LabelContext, versions: Sequence[_Version], kinds: Sequence[str]
) -> Iterator[Observation]:
    """Yields the parts that a language lacks and most others have under a heading of their own; one
    that has few of them is no version of the label."""
    has = [[kind for kind in kinds if each.label.sections_of(kind)] for each in versions]
    joint = {
        section.kind
        for section in context.label.sections
        if {"/", "|"} & {*f"{heading_line(context, section.heading)} {section.text}".split()}
    }
    for kind in kinds:
        others = [each for each, own in zip(versions, has, strict=True) if kind in own]
        if kind not in joint and others and len(others) * 2 >= len(versions):
            there = _Said(kind, others[0].place(kind))
            for version, own in zip(versions, has, strict=True):
                if kind not in own and len(own) > 1:
                    yield version.lacks("", there, "part")


def _compared(
    kind: str, tables: Sequence[tuple[_Version, Mapping[Hashable, _Said]]]
) -> Iterator[Observation]:
    """Yields what departs from what most say under a key, or is lacking in a table of figures."""
    for key in dict.fromkeys(key for _, table in tables for key in table):
        among = [
            (version, table.get(key))
            for version, table in tables
            if key in table or (table and kind in {"guarantees", "additives"})
        ]
        votes = Counter(part and part.value for _, part in among)
        common = max(votes, key=votes.__getitem__)  # of equals the first
        usual = next(part for _, part in among if (part and part.value) == common)
        for version, part in among:
            if part is None and usual is not None:
                yield version.lacks(kind, usual)
            elif part and "/" not in part.printed and (not usual or part.value != usual.value):
                yield version.departs("figure" if usual else "alone", part, usual)


def _percents(version: _Version) -> Mapping[Hashable, _Said]:
    return {
        key: _Said(
            ingredient.name,
            ingredient.name_span,
            ingredient.percent.value if ingredient.percent else "",
        )
        for key, ingredient in _once_known(
            [entry for entry in version.entries if entry.percent or not entry.path[1:]]
        ).items()
    }


def _constituents(version: _Version) -> Mapping[Hashable, _Said]:
    return _gathered(
        (
            guarantee.nutrient,
            _Said(guarantee.printed, guarantee.span, (guarantee.value, guarantee.unit)),
        )
        for guarantee in version.label.guarantees
    )


def _additives(version: _Version) -> Mapping[Hashable, _Said]:
    return _gathered(
        (
            element_of(amount)[0] or (amount.number or "").lower() or None,
            _Said(amount.printed or amount.number or "", amount.span, (amount.value, amount.unit)),
        )
        for amount in version.label.additives
    )


def _statements(version: _Version) -> Mapping[Hashable, _Said]:
    """Returns the first statement's type of feed, animal and stages."""
    return {
        key: _Said(value if isinstance(value, str) else ", ".join(value), adequacy.span, value)
        for adequacy in version.label.adequacy[:1]
        for key in ("route", "species", "stages")
        if (value := getattr(adequacy, key))
    }


def _net_quantity(version: _Version) -> Mapping[Hashable, _Said]:
    """Returns the metric quantity under a heading, where there is one alone."""
    rows = [
        _Said(version.page.slice(quantity.span), quantity.span, quantity.amount)
        for section in version.label.sections_of("net-contents")
        if section.heading.end > section.heading.start
        for quantity in quantities_in(version.page.text, section.body)
        if quantity.metric
    ]
    return {"net": rows[0]} if len(rows) == 1 else {}


def _energy(version: _Version) -> Mapping[Hashable, _Said]:
    """Returns the figure of energy per kg."""
    figures = version.label.energy.figures if version.label.energy else ()
    return {
        # A slash parts two languages.
        (figure.unit, figure.per): _Said(
            version.page.slice(figure.span).replace("/", " per "), figure.span, figure.value
        )
        for figure in figures
        if figure.per == "kg"
    }


def _gathered(rows: Iterable[tuple[Hashable, _Said]]) -> Mapping[Hashable, _Said]:
    """Returns all that is said under each key together; what has none is not compared."""
    parts: dict[Hashable, _Said] = {}
    for key, part in rows:
        if key is not None:
            before = parts.get(key, part)
            parts[key] = before._replace(value=(before.value, part.value))
    return parts


#: What is compared by a key, by the part that it stands in.
_TABLES = {
    "declaration": _percents,
    "guarantees": _constituents,
    "additives": _additives,
    "adequacy": _statements,
    "net-contents": _net_quantity,
    "calories": _energy,
}


def _lists(versions: Sequence[_Version]) -> Iterator[Observation]:
    """Yields where a list has other entries than most, or the same ones in another order."""
    lists = [version for version in versions if version.entries]
    ids = [tuple(ingredient.known_as for ingredient in version.entries) for version in lists]
    if not lists:
        return
    usual = lists[max(range(len(ids)), key=lambda number: ids.count(ids[number]))]
    for version, own in zip(lists, ids, strict=True):
        if own != ids[lists.index(usual)]:
            yield from _other_entries(version, usual)


def _other_entries(version: _Version, usual: _Version) -> Iterator[Observation]:
    both = [version, usual]
    if any("," in note for v in both for entry in v.entries for note in entry.notes):
        # A list in a bracket was not read as one in each language: the outer lists are compared.
        both = [v._replace(entries=[e for e in v.entries if not e.path[1:]]) for v in both]
        version, usual = both
    own, others = _once_known(version.entries), _once_known(usual.entries)
    for before, after in pairwise(part for key, part in own.items() if key in others):
        if others[before.known_as].path > others[after.known_as].path:
            yield version.departs("order", _name(after), _name(others[after.known_as]))
            return
    extra = [part for key, part in own.items() if key not in others]
    absent = [part for key, part in others.items() if key not in own]
    more = len(version.entries) - len(usual.entries)
    known = all(part.known_as for part in (*version.entries, *usual.entries))
    if more < 0 and known and len(absent) == -more:
        yield from (version.lacks("declaration", _name(part)) for part in absent)
    elif more > 0 and known and len(extra) == more:
        yield from (version.departs("alone", _name(part)) for part in extra)
    elif more:
        count = _Said(str(len(version.entries)), version.place("declaration"))
        other = _Said(str(len(usual.entries)), usual.place("declaration"))
        yield version.departs("count", count, other)._replace(certainty=Certainty.POSSIBLE)
    else:
        for ingredient, other_one in ((part, other) for part in extra for other in absent):
            if ingredient.path == other_one.path and _are_other_foods(ingredient, other_one):
                yield version.departs("name", _name(ingredient), _name(other_one))


def _name(ingredient: Ingredient) -> _Said:
    return _Said(ingredient.name, ingredient.name_span)


def _are_other_foods(ingredient: Ingredient, other: Ingredient) -> bool:
    """Returns True for two ingredients of two animals or plants, neither of which is a kind of the
    other: a translation may be the wider word."""
    if ingredient.match is None or other.match is None:
        return False
    first, second = ingredient.match.known, other.match.known
    species = {first.species, second.species}
    wider = {first.id, second.id, *species} & {*first.classes} & {*second.classes}
    return len(species) == 2 and "" not in species and not wider


def _once_known(entries: Sequence[Ingredient]) -> Mapping[Hashable, Ingredient]:
    """Returns the entries by id whose names are known once in a list."""
    ids = Counter(ingredient.known_as for ingredient in entries)
    return {
        ingredient.known_as: ingredient
        for ingredient in entries
        if ingredient.known_as and ids[ingredient.known_as] == 1
    }


def headings(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds parts whose headings do not stand in all the languages that a market asks for: one
    finding, at the first heading that lacks a language."""
    with_ = rule.parameters
    if not has_small_print(context) or is_of_a_page(context):
        return
    lacking: list[tuple[Span, str, str]] = []
    for kind in with_.texts("sections"):
        headed = [
            section
            for section in context.sections_of(kind)
            if section.heading.end > section.heading.start
        ]
        lines = [heading_line(context, section.heading) for section in headed]
        printed = (context.source.slice(section.heading).casefold() for section in headed)
        same = not set(printed).isdisjoint(with_.texts("same"))  # "Net / Net"
        if same or any(map(_BESIDE.search, lines)):
            continue
        for name, code in with_["languages"].items():
            versions = (each for each in context.label.translations if each.language == code)
            behind = [section.text.partition(" / ")[2] for section in headed]
            if lines and not (
                any(_heading_words(kind, code).search(words) for words in (*lines, *behind))
                or any(version.sections_of(kind) for version in versions)
                or any(words and language_of_words(words, code) == code for words in behind)
            ):
                lacking.append((headed[0].heading, one_line(lines[0]), name))
    if lacking:
        first = lacking[0]
        yield Observation(
            first[0],
            Certainty.PRACTICE,
            {
                "heading": one_line(context.source.slice(first[0])),
                "language": first[2],
                "count": len(lacking),
            },
            related=tuple(Related(span, f"no {name} here either") for span, _, name in lacking[1:]),
        )


def names(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds a product's name that does not stand in every language that a market asks for."""
    if not has_small_print(context) or is_of_a_page(context) or not context.label.product_name:
        return
    kinds = rule.parameters.texts("sections")
    # The name above the second of two blocks may have been taken for the end of the first.
    apart = (s.span for s in context.label.ledger.stretches if s.fate in _NOT_READ)
    printed = " ".join(
        [s.text for s in context.label.sections if s.kind in kinds]
        + [context.source.slice(span) for span in apart]
    )
    for language, words in rule.parameters.wordings("words").items():
        if not words.search(printed):
            yield Observation(
                context.label.product_name_span, Certainty.PRACTICE, {"language": language}
            )
            return


def official(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """Finds a label in no official language of the country that it names as its market; where none
    of these is read, the text leaves it open."""
    words, place = context.label.facts.get("market", ("", None))
    country = country_called(words)
    if country is None or place is None or not is_whole(context):
        return
    printed = {context.language, *(version.language for version in context.label.translations)}
    if not country["languages"]:
        yield Observation.of_state(State.OPEN, place)
    elif not printed.isdisjoint(country["languages"]):
        yield Observation.met(place)
    else:
        names = data("words/languages")["names"]
        due = listed((names[code] for code in country["languages"]), "or")
        values = {"country": words.strip(), "due": due, "printed": names[context.language]}
        yield Observation(place, Certainty.PRACTICE, values)


def heading_line(context: LabelContext, span: Span) -> str:
    """Returns the heading with what stands on its line up to the colon: "Ingredients /
    Ingrédients"."""
    text = context.label.page.text
    start, end = text.rfind("\n", 0, span.start) + 1, text.find("\n", span.end)
    if ":" in text[start : span.start]:
        start = span.start  # another heading begins the line
    return text[start : end if end >= 0 else len(text)].replace(" : /", " /").split(":", 1)[0]


@cache
def _heading_words(kind: str, code: str) -> re.Pattern[str]:
    words = [
        re.escape(word).replace("'", "['’]")
        for heading in data("words/headings")["headings"]
        if heading["kind"] == kind
        for word in heading["words"].get(code, ())
    ]
    return re.compile(rf"(?<!\w)(?:{'|'.join(words) or '(?!)'})(?!\w)", re.IGNORECASE)
