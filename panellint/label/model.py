"""The neutral tree of one label: what is printed, with the place of everything.

Nothing here knows an ingredient. Whether a bracket lists members or qualifies the name
before it is decided later, with the catalogue at hand (`panellint.ingredients.resolve`).
"""

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from enum import StrEnum
from typing import NamedTuple

from panellint.core.source import Source, Span
from panellint.label.ledger import Ledger


class Bound(StrEnum):
    """How a printed figure binds."""

    EXACT = "exact"
    MIN = "min"
    MAX = "max"
    ABOUT = "about"
    DECLARED = "declared"


class PercentOf(StrEnum):
    """What a printed percentage is a percentage of."""

    FOOD = "food"
    PARENT = "parent"
    COMPONENT = "component"
    REHYDRATED = "rehydrated"
    UNCLEAR = "unclear"


class Percent(NamedTuple):
    """A printed percentage. The digits after the point are those that were printed."""

    value: Decimal
    bound: Bound
    of: PercentOf
    span: Span

    @property
    def half_unit(self) -> Decimal:
        """Half a unit of the last printed digit, in percentage points."""
        exponent = self.value.as_tuple().exponent
        return Decimal((0, (5,), int(exponent) - 1))

    @property
    def least(self) -> Decimal | None:
        """The least that it stands for; None of a maximum, and of “about”."""
        return {Bound.EXACT: self.value - self.half_unit, Bound.MIN: self.value}.get(self.bound)

    @property
    def most(self) -> Decimal | None:
        """The most that it stands for; None of a minimum, and of “about”."""
        return {Bound.EXACT: self.value + self.half_unit, Bound.MAX: self.value}.get(self.bound)


class Mark(NamedTuple):
    """A footnote mark as printed, such as `*`."""

    text: str
    span: Span


class Bracket(NamedTuple):
    """A bracket behind a name, or a component's list behind its colon (`opener` is ":")."""

    opener: str
    span: Span
    inner: Span
    entries: "tuple[Entry, ...]"
    partial: bool = False
    any_of: bool = False


class Entry(NamedTuple):
    """One entry of a declaration as printed.

    `name` is trimmed, white space folded, footnote marks, list numbers and a leading "and"
    removed. `words` holds the span of each word of the name. `trailing` are connected words
    that qualify ("preserved with mixed tocopherols"). `at_most` is the cap, in percent as
    mixed, of the tail the entry stands in. `joined` is the conjunction before it: "and",
    "and/or", "or", or "".
    """

    name: str
    name_span: Span
    span: Span
    words: tuple[Span, ...] = ()
    percents: tuple[Percent, ...] = ()
    marks: tuple[Mark, ...] = ()
    brackets: tuple[Bracket, ...] = ()
    trailing: tuple[str, ...] = ()
    at_most: Decimal | None = None
    any_of: bool = False
    joined: str = ""


class TextFault(NamedTuple):
    """Something wrong with the text itself, mended so that reading could go on.

    `kind` is one of: unclosed-bracket, surplus-bracket, mismatched-bracket, deep-nesting,
    empty-entry, unexplained-mark, unused-footnote, unreadable-figure, repeated-section,
    unknown-heading, near-heading, odd-character, several-foods.
    """

    kind: str
    span: Span
    words: str


class Footnote(NamedTuple):
    """A footnote's mark and words, such as `*` and `Certified organic`."""

    mark: str
    text: str
    span: Span


class Section(NamedTuple):
    """A part of the label. `kind` is a plain word (`product-name`, `declaration`, ...); `maybe` are
    the kinds that its words may be equally, and are read as none of them."""

    kind: str
    heading: Span
    body: Span
    text: str
    maybe: tuple[str, ...] = ()

    @property
    def words(self) -> Span:
        """The place of its own words; a heading that is not known is among them."""
        return self.heading.cover(self.body) if self.kind == "unknown" else self.body


class Guarantee(NamedTuple):
    """One line of the guaranteed analysis or of the analytical constituents.

    `nutrient` is a nutrient id of `rules/nutrients`, or None where the name is not known.
    `value` is in `unit` as printed (`%`, `mg/kg`, `IU/kg`, `kcal/kg`...); `basis` is
    "as fed" or "dry matter".
    """

    nutrient: str | None
    printed: str
    bound: Bound
    value: Decimal
    unit: str
    basis: str
    span: Span
    name_span: Span
    value_span: Span
    marks: tuple[Mark, ...] = ()
    bound_printed: bool = True


class AdditiveAmount(NamedTuple):
    """An additive with its amount per kg, as the EU heading "additives" lists them, or an active
    ingredient with its amount in the unit that the heading (`group`) names."""

    printed: str
    number: str | None
    value: Decimal | None
    unit: str
    group: str
    span: Span


class EnergyFigure(NamedTuple):
    """One figure of the calorie line: `value` kcal (or kJ) per `per` (`kg`, `cup`, `can`...).

    `grams` is the printed weight of that unit, where one is printed.
    """

    value: Decimal
    unit: str
    per: str
    grams: Decimal | None
    span: Span


class CalorieLine(NamedTuple):
    """The calorie statement; `method` is "calculated", "fed" or None where it does not say."""

    figures: tuple[EnergyFigure, ...]
    method: str | None
    span: Span


class Adequacy(NamedTuple):
    """The adequacy statement, or the EU's "complete" and "complementary".

    `route` is formulated, trial, family, intermittent, complete or complementary;
    `stages` are life stages in plain words; `large_size` is "included", "excluded" or None.
    """

    route: str
    species: str | None
    stages: tuple[str, ...]
    large_size: str | None
    span: Span


class WaiverLine(NamedTuple):
    """A waiver as printed: which rule, until when (inclusive), and why."""

    rule: str
    until: date | None
    reason: str
    span: Span
    rule_span: Span


class Label(NamedTuple):
    """One label, as printed. Fields are empty or None where the label has no such part.

    Of a label in several languages `translations` says what it says in each, the first one first,
    whose statements stand in the fields. `foods` are the names of several foods in one text.
    `page` is the text as it was read: without markup, its lines whole, at the same offsets.
    """

    source: Source
    page: Source = Source("")
    sections: tuple[Section, ...] = ()
    bare: bool = False
    product_name: str = ""
    product_name_span: Span = Span(0, 0)
    foods: tuple[Span, ...] = ()
    declaration: tuple[Entry, ...] = ()
    declaration_span: Span = Span(0, 0)
    language: str = ""
    translations: "tuple[Label, ...]" = ()
    footnotes: tuple[Footnote, ...] = ()
    guarantees: tuple[Guarantee, ...] = ()
    additives: tuple[AdditiveAmount, ...] = ()
    actives: tuple[AdditiveAmount, ...] = ()
    energy: CalorieLine | None = None
    adequacy: tuple[Adequacy, ...] = ()
    claims: tuple[tuple[str, Span], ...] = ()
    facts: Mapping[str, tuple[str, Span]] = {}
    waivers: tuple[WaiverLine, ...] = ()
    faults: tuple[TextFault, ...] = ()
    ledger: Ledger = Ledger()

    def sections_of(self, kind: str) -> tuple[Section, ...]:
        """Every section of that kind, in the order of the text."""
        return tuple(section for section in self.sections if section.kind == kind)
