"""One label: the text of a panel file to a `Label`. Never raises, whatever arrives."""

import re
from collections.abc import Mapping, Sequence

from panellint.core.numbers import TOO_LONG
from panellint.core.phrases import listed
from panellint.core.source import Source, Span
from panellint.core.text import one_line
from panellint.label.additives import read_additives
from panellint.label.blocks import IsName, blocks, without_prose
from panellint.label.calories import read_calories
from panellint.label.declaration.brackets import by_place
from panellint.label.declaration.parse import Declared, parse
from panellint.label.fates import fates
from panellint.label.foods import Food, foods_in
from panellint.label.guarantees import MARK_BEHIND, read_guarantees
from panellint.label.kinds import kinds
from panellint.label.languages import (
    by_language,
    language_marks,
    language_of_words,
    languages_of_sections,
)
from panellint.label.ledger import Ledger
from panellint.label.markup import without_markup
from panellint.label.model import (
    Adequacy,
    Bracket,
    Entry,
    Footnote,
    Label,
    Mark,
    Section,
    TextFault,
)
from panellint.label.name_block import with_name
from panellint.label.sections import split
from panellint.label.statements import read_claims, read_waivers, statement_kind, statements_of

#: What may stand between a heading and what it is over.
#: Ticks before a name, and the signs of a heading before its lines.
_NAME_SIGNS = re.compile(r"\A[✓✔☑• ]+|^[ \t]*#+[ \t]*", re.MULTILINE)
_SIGNS = re.compile(r"[^\w\n]*")
_SIGN = re.compile(r"(.)\1*")


def read_label(source: Source, is_name: IsName | None = None, food: int = 0) -> Label:
    """Everything that the text of one label says, with the place of each part. `is_name` tells
    the names of ingredients, so that a list without a heading is known by them; of several foods
    in one text that of a number is read."""
    page = without_markup(source)
    foods = foods_in(source, page, is_name) if is_name else ()
    printed = foods[food].page if foods else source
    source = without_markup(foods[food].nameless) if foods else page
    source = source.blanked(language_marks(source))
    parts = split(source, statement_kind)
    if parts.bare:
        sections = without_prose(parts.sections, is_name)
    else:
        sections = by_language(
            source, with_name(source, blocks(source, parts.sections, is_name), is_name), is_name
        )
    label = _label(source, sections, parts.faults)
    languages = languages_of_sections(printed, sections, is_name)
    if languages:
        label = _in_languages(source, label, languages)
    label = label._replace(source=printed, page=source, bare=parts.bare)
    label = _named(label, foods, food) if foods else label
    return label._replace(ledger=Ledger(lambda: tuple(fates(label))))


def _named(label: Label, foods: Sequence[Food], number: int) -> Label:
    """Returns a label of one of several foods with its own name behind the name of all."""
    names = tuple(food.name for food in foods)
    own, printed = names[number], [one_line(food.page.slice(food.name)) for food in foods]
    section = Section("product-name", Span(own.start, own.start), own, label.source.slice(own))
    return label._replace(
        product_name=f"{label.product_name} {printed[number]}".lstrip(),
        product_name_span=own,
        sections=tuple(sorted((*label.sections, section), key=lambda each: each.body)),
        foods=names,
        faults=(*label.faults, TextFault("several-foods", names[0], listed(printed))),
    )


def _in_languages(source: Source, label: Label, languages: Mapping[Section, str]) -> Label:
    """Returns a label in several languages: what it says in each, the first one's as its own."""
    first = next((languages[s] for s in label.sections if s.kind == "declaration" and s.text), "")
    labels = {
        code: _label(source, tuple(s for s in label.sections if languages[s] == code), ())
        for code in dict.fromkeys([first, *(languages[s] for s in label.sections)])
        if any(s.kind in kinds("said-again") for s in languages if languages[s] == code)
    }
    statements: dict[str, list[Adequacy]] = {code: [] for code in labels}
    for section in label.sections:
        for statement in statements_of([section]):
            language = language_of_words(source.slice(statement.span), languages[section])
            statements.setdefault(language, []).append(statement)
    versions = [
        version._replace(language=language, adequacy=tuple(statements[language]))
        for language, version in labels.items()
    ]
    repeated = {fault for version in versions for fault in version.faults}
    return label._replace(
        translations=tuple(versions),
        faults=tuple(f for f in label.faults if f.kind != "repeated-section" or f in repeated),
        guarantees=next(filter(None, (version.guarantees for version in versions)), ()),
        additives=next(filter(None, (version.additives for version in versions)), ()),
        adequacy=next(filter(None, map(tuple, statements.values())), label.adequacy),
    )


def _label(
    source: Source, sections: tuple[Section, ...], text_faults: Sequence[TextFault]
) -> Label:
    """Returns what sections say, with the faults of the text found before."""
    # A list under a heading that is not known is read all the same.
    lists = {section.body.start for section in sections if section.kind == "declaration"}
    faults = [
        fault
        for fault in text_faults
        if fault.kind != "unknown-heading"
        or not any(_SIGNS.fullmatch(source.text, fault.span.end, start) for start in lists)
    ]
    by_kind: dict[str, list[Section]] = {}
    for section in sections:
        by_kind.setdefault(section.kind, []).append(section)

    def text_of(kind: str) -> Section | None:
        return next((s for s in by_kind.get(kind, []) if s.text), None)

    declaration = text_of("declaration")
    declared = Declared((), (), ())
    if declaration:
        declared = parse(declaration.text, declaration.body.start)
        faults.extend(declared.faults)
        faults.extend(
            TextFault("repeated-section", other.heading, "a second ingredient declaration")
            for other in by_kind["declaration"]
            if other is not declaration and other.text
        )
        faults.extend(_marks(source, declaration, declared, sections))
    faults += _unreadable_figures(sections)
    name = text_of("product-name")
    calories = [
        line
        # The box of the modernised US label holds its calories among the guarantees.
        for s in [*by_kind.get("calories", []), *by_kind.get("guarantees", [])]
        if (line := read_calories(source.slice(s.heading), s))
    ]
    return Label(
        source=source,
        sections=sections,
        product_name=one_line(_NAME_SIGNS.sub("", name.text)) if name else "",
        product_name_span=name.body if name else Span(0, 0),
        declaration=declared.entries,
        declaration_span=declaration.body if declaration else Span(0, 0),
        footnotes=declared.footnotes,
        guarantees=tuple(
            g
            for s in by_kind.get("guarantees", [])
            for g in read_guarantees(s.text, s.body.start, source.slice(s.heading))
        ),
        additives=tuple(
            a
            for s in by_kind.get("additives", [])
            for a in read_additives(source.slice(s.heading), s.text, s.body.start)
        ),
        actives=tuple(
            amount
            for s in by_kind.get("actives", [])
            for amount in read_additives(source.slice(s.heading), s.text, s.body.start, per="")
        ),
        # A sentence may give a figure too: the line is what says the most.
        energy=max(
            calories, key=lambda line: (line.method is not None) + len(line.figures), default=None
        ),
        adequacy=tuple(statements_of(sections)),
        claims=tuple(
            c for s in by_kind.get("claims", []) for c in read_claims(s.text, s.body.start)
        ),
        facts={
            kind: (fact.text, fact.body)
            for kind in sorted(by_kind.keys() & kinds("fact"))
            if (fact := text_of(kind))
        },
        waivers=tuple(
            w for s in by_kind.get("waiver", []) for w in read_waivers(s.text, s.body.start)
        ),
        faults=by_place(faults),
    )


def _unreadable_figures(sections: tuple[Section, ...]) -> list[TextFault]:
    """Figures of more digits than a number can have, where figures are read."""
    faults = []
    for section in sections:
        if section.kind in kinds("with-figures"):
            for digits in TOO_LONG.finditer(section.text):
                start, end = (section.body.start + place for place in digits.span())
                faults.append(TextFault("unreadable-figure", Span(start, end), section.kind))
    return faults


def _marks(
    source: Source, section: Section, declared: Declared, sections: tuple[Section, ...]
) -> list[TextFault]:
    """Marks that no footnote explains, and footnotes that no mark leads to."""
    used: dict[str, Span] = {}
    behind = [
        Mark(sign.group(), Span(s.body.start + sign.start(), s.body.start + sign.end()))
        for s in sections
        if s.kind == "guarantees"
        for mark in MARK_BEHIND.finditer(s.text)
        for sign in _SIGN.finditer(s.text, *mark.span("mark"))
    ]
    explained = {
        sign
        for sign in {mark.text for mark in behind}
        if re.search(rf"(?<![\w%)]){re.escape(sign)}[ \t]*[^\W\d_]", source.text)
    }
    stack: list[Entry | Bracket] = list(reversed(declared.entries))
    while stack:
        node = stack.pop()
        if isinstance(node, Entry):
            for mark in node.marks:
                used.setdefault(mark.text, mark.span)
            stack.extend(reversed(node.brackets))
        else:
            stack.extend(reversed(node.entries))
    notes: dict[str, Footnote] = {note.mark: note for note in declared.footnotes if note.mark}
    elsewhere = {
        mark
        for mark in used
        if any(
            re.search(rf"(?:^|\n|[.!]\s)\s*{re.escape(mark)}\s*[^\W\d_]", s.text)
            for s in sections
            if s is not section
        )
    }
    faults = [
        TextFault("unexplained-mark", span, mark)
        for mark, span in used.items()
        if mark not in notes and mark not in elsewhere
    ]
    faults.extend(
        TextFault("unexplained-mark", mark.span, mark.text)
        for mark in behind
        if mark.text not in explained
    )
    guaranteed = {
        mark
        for s in sections
        if s.kind == "guarantees"
        for mark in re.findall(r"[*†‡§¶#]+", s.text)
    }
    faults.extend(
        TextFault("unused-footnote", note.span, mark)
        for mark, note in notes.items()
        if mark not in used and mark not in guaranteed
    )
    return faults
