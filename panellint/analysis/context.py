"""One food with everything known about it: what its label prints, and what is weighed for it.

Checks and commands read a context. Nothing is computed twice, and nothing before it is needed:
the solver is only imported by who asks for `formulas`.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Hashable, Mapping, Sequence
from functools import cache, cached_property
from itertools import pairwise
from typing import TYPE_CHECKING, Any, Protocol, TypeVar, TypeVarTuple

from panellint.analysis.read_once import identified, reading
from panellint.catalogue import Catalogue, load
from panellint.catalogue.model import Match
from panellint.core.source import Source, Span
from panellint.core.wording import regex
from panellint.ingredients.model import Declaration, Ingredient
from panellint.ingredients.own_names import supporting
from panellint.ingredients.product_name import Promise, read_promises
from panellint.label.claims import Claim, claims_of
from panellint.label.languages import language_of, languages_read
from panellint.label.market_sign import MarketSign, market_sign
from panellint.label.model import Bound, Guarantee, Label, Section, TextFault
from panellint.label.statements import species_in, species_named, stages_in
from panellint.nutrition.forms import Form, form_of
from panellint.rulepacks.data import data
from panellint.rulepacks.model import LabelKind
from panellint.rulepacks.settings import Settings, editions, usual_market

if TYPE_CHECKING:
    from panellint.analysis.label_shares import LabelShares
    from panellint.shares.model import Condition, PromiseAnswers, ShareAnswers
    from panellint.shares.solver.formula_set import Formulas

T = TypeVar("T")
Asked = TypeVarTuple("Asked")

#: Statements of foods that are none to live on.
_BESIDE = frozenset({"intermittent", "complementary", "mineral"})
_BRACKET_FAULTS = frozenset(
    {"unclosed-bracket", "surplus-bracket", "mismatched-bracket", "deep-nesting"}
)


@cache
def _modernised() -> re.Pattern[str]:
    """Words that only the modernised US text has, some of them at a line's start."""
    return re.compile("|".join(data("words/uses")["modernised"]), re.IGNORECASE | re.MULTILINE)


def uses_in(words: str) -> tuple[str, ...]:
    """The uses that words name: treat, topper, mixer, supplement..."""
    return tuple(use for use, search in _uses() if search.search(words))


@cache
def _uses() -> list[tuple[str, re.Pattern[str]]]:
    return [(use["use"], regex(*use["words"])) for use in data("words/uses")["uses"]]


@cache
def _in_statements() -> frozenset[str]:
    """The uses that a statement of the type of feed may name."""
    return frozenset(use["use"] for use in data("words/uses")["uses"] if use.get("in-statement"))


class Sheet(Protocol):
    """What is weighed for a food, which answers questions about shares where it is known."""

    @property
    def answers(self) -> PromiseAnswers:
        """The shares as they are weighed."""


class LabelContext:
    """What is known of one food, under the settings that reach its label.

    `quick` keeps to what needs no solver; so does a list that is longer than any label's.
    `printed` is the label with its declaration where both are known already (a food of which
    only the components are known has no text to read); else the source is read. `sheet` weighs
    the food: it is called once, with this context. Make one with `LabelContext.of` or, of
    components, with `panellint.maker.context`.
    """

    def __init__(
        self,
        source: Source,
        settings: Settings,
        *,
        quick: bool = False,
        printed: tuple[Label, Declaration] | None = None,
        sheet: Callable[[LabelContext], Sheet] | None = None,
    ) -> None:
        self.source = source
        self.settings = settings
        self._asked_quick = quick
        self._printed = printed
        self._weigh = sheet
        self._memo: dict[tuple[Hashable, ...], Any] = {}

    @classmethod
    def of(
        cls, source: Source, settings: Settings | None = None, *, quick: bool = False
    ) -> LabelContext:
        """The context of a source; without settings, with those that reach its path."""
        return cls(source, settings or Settings.for_path(source.path), quick=quick)

    def once(self, make: Callable[[LabelContext, *Asked], T], *asked: *Asked) -> T:
        """Returns `make(self, *asked)`, computed when the same is first asked for.

        What is asked must be hashable, and what is kept must not hold the context itself.
        """
        key = (make, *asked)
        memo = self._memo
        if key not in memo:
            memo[key] = make(self, *asked)
        return memo[key]  # type: ignore[no-any-return]

    @cached_property
    def quick(self) -> bool:
        """Whether the solver is left out: it was asked for, or the list is too long for it."""
        longest: int = data("data/premises")["premises"]["longest_list"]["entries"]
        return self._asked_quick or len(self.leaves) > longest

    @cached_property
    def label(self) -> Label:
        """The neutral tree of what is printed."""
        return self._printed[0] if self._printed else reading(self.source, self.catalogue)

    @cached_property
    def catalogue(self) -> Catalogue:
        """The known ingredients."""
        return load(self.settings.ingredients)

    def lookup(self, name: str) -> Match | None:
        """What the catalogue knows under a printed name, in the label's market and language."""
        return self.catalogue.lookup(name, market=self.market, language=self.language)

    @cached_property
    def market(self) -> str:
        """The market whose rules apply (us, eu, uk or ca): the one that is named, else the one
        whose words the label prints, else the usual one."""
        named = self.settings.named_market(self.fact("market"))
        return named or (self.market_sign.market if self.market_sign else usual_market())

    @cached_property
    def market_sign(self) -> MarketSign | None:
        """The words that only labels of one market print; None where a market is named."""
        printed = self.fact("market")
        return None if printed or self.settings.named_market(printed) else market_sign(self.source)

    @cached_property
    def edition(self) -> str:
        """The edition of the market's text: the settings', the label's own form, the usual."""
        chosen = self.settings.editions.get(self.market)
        if chosen:
            return chosen
        if "modernised" in editions(self.market) and self._reads_modernised:
            return "modernised"
        return self.settings.edition_for(self.market)

    @cached_property
    def _reads_modernised(self) -> bool:
        boxes = self.label.sections_of("guarantees")
        lines = [text for s in boxes for text in (self.source.slice(s.heading), s.text)]
        if any(_modernised().search(line) for line in lines):
            return True
        older = regex(*data("words/uses")["older"])
        stated = [s.text for s in self.label.sections_of("adequacy") if s.heading.end]
        return not any(map(older.search, lines)) and any(map(_modernised().search, stated))

    @cached_property
    def language(self) -> str:
        """The language of the declaration: the label's own fact, else the settings', where it is
        one that is read, else that of its headings."""
        stated = (self.fact("language") or self.settings.language or "")[:2].lower()
        return stated if stated in languages_read() else language_of(self.label)

    @cached_property
    def declaration(self) -> Declaration:
        """The ingredients with what each name was taken for."""
        if self._printed:
            return self._printed[1]
        return identified(self.source, self.catalogue, self.market, self.language)

    @cached_property
    def entries(self) -> tuple[Ingredient, ...]:
        """Every ingredient and group, parents before members, in printed order."""
        return tuple(self.declaration.walk())

    @cached_property
    def entry_at(self) -> Mapping[tuple[int, ...], Ingredient]:
        """Every entry by its path: the group that one stands in is at its path less the last."""
        return {entry.path: entry for entry in self.entries}

    @cached_property
    def leaves(self) -> tuple[Ingredient, ...]:
        """Every entry without members, in printed order."""
        return tuple(entry for entry in self.entries if not entry.members)

    @cached_property
    def promises(self) -> tuple[Promise, ...]:
        """What the product's name promises."""
        return read_promises(self.label, self.catalogue, market=self.market, language=self.language)

    @cached_property
    def supported(self) -> Mapping[Span, tuple[Ingredient, ...]]:
        """The declared entries that bear a named ingredient's own name, by its place."""
        return {
            named.span: supporting(named, self.declaration, self.market)
            for promise in self.promises
            for named in promise.named
        }

    @cached_property
    def claims(self) -> tuple[Claim, ...]:
        """What the label claims, classed, in the order of the text."""
        return claims_of(self.label)

    @cached_property
    def text_faults(self) -> tuple[TextFault, ...]:
        """What was wrong with the text itself, in the order of the text."""
        faults = (*self.label.faults, *self.declaration.faults)
        return tuple(sorted(faults, key=lambda fault: (fault.span, fault.kind)))

    @cached_property
    def brackets_are_sound(self) -> bool:
        """False where brackets had to be mended, so that the tree may not be what was meant."""
        return not any(fault.kind in _BRACKET_FAULTS for fault in self.text_faults)

    def fact(self, kind: str) -> str | None:
        """The text of a fact of the panel file or of a section of the label, or None; what it was
        read off may stand in the settings."""
        stated = self.label.facts.get(kind)
        if stated:
            return stated[0]
        return self.settings.source if kind == "source" else None

    @cached_property
    def species(self) -> str | None:
        """ "dog" or "cat"; None where the label does not say, or says both."""
        for words in (
            self.fact("species"),
            self.label.product_name,
            *(self.source.slice(a.span) for a in self.label.adequacy),
        ):
            named = species_in(words) if words else None
            if named:
                return named
        return None

    @cached_property
    def animals(self) -> tuple[str, ...]:
        """The animals that the label is for: dog, cat, or both where it names both; none where it
        names none."""
        if self.species:
            return (self.species,)
        words = (self.fact("species"), self.label.product_name)
        return next((named for word in words if word and (named := species_named(word))), ())

    @cached_property
    def is_beside_a_diet(self) -> bool:
        """Whether the label says that the food is none to live on: a treat, a topper, a supplement,
        or supplemental feeding only."""
        routes = {statement.route for statement in self.label.adequacy}
        beside = data("data/reading")["no-target-for"]
        return bool(routes & _BESIDE) or not set(beside).isdisjoint(self.uses)

    @cached_property
    def stages(self) -> tuple[str, ...]:
        """Life stages that the statement, the fact or the name speaks of, in a fixed order."""
        for words in (
            self.fact("life-stage") or "",
            " ".join(stage for a in self.label.adequacy for stage in a.stages),
            self.label.product_name,
        ):
            named = stages_in(words)
            if named:
                return named
        return ()

    @cached_property
    def uses(self) -> tuple[str, ...]:
        """What the food is sold for beside being eaten: treat, topper, mixer, supplement..."""
        statements = " ".join(s.text for s in self.label.sections_of("adequacy") if s.heading.end)
        types = (self.source.slice(statement.span) for statement in self.label.adequacy)
        of_type = set(uses_in(" ".join(types))) & _in_statements()
        uses = tuple(dict.fromkeys((*uses_in(f"{self.called} {statements}"), *sorted(of_type))))
        if not self.sections_of("actives"):
            return uses
        dosage = () if self.label.guarantees else ("dosage-form",)
        return tuple(dict.fromkeys((*uses, "supplement", *dosage)))

    @cached_property
    def called(self) -> str:
        """The product's name, what stands right behind it ("Oat Biscuits. Baked dog treats."), and
        the form."""
        pairs = (
            two for section, two in pairwise(self.label.sections) if section.kind == "product-name"
        )
        behind = next((two.text for two in pairs if two.kind == "untitled"), "")
        return " ".join((self.label.product_name, behind, self.fact("form") or ""))

    @cached_property
    def form(self) -> Form:
        """The physical form, stated or inferred from words and moisture."""
        moisture = self.guarantee("moisture")
        value = float(moisture.value) if moisture and moisture.unit == "%" else None
        if value is not None and not 0 <= value < 100:
            value = None
        return form_of(self.fact("form"), self.label.product_name, value)

    @cached_property
    def kind(self) -> LabelKind:
        """What decides which rules are about the label."""
        return LabelKind(
            self.market, self.edition, self.species, self.form.id, self.stages, self.uses
        )

    @cached_property
    def _sections(self) -> dict[str, list[Section]]:
        by_kind: dict[str, list[Section]] = {}
        for section in self.label.sections:
            by_kind.setdefault(section.kind, []).append(section)
        return by_kind

    def sections_of(self, kind: str) -> Sequence[Section]:
        """Every section of that kind, in the order of the text."""
        return self._sections.get(kind, ())

    def guarantee(self, nutrient: str, bound: Bound | None = None) -> Guarantee | None:
        """The first guarantee of a nutrient (with that bound, where one is given)."""
        of = (g for g in self.label.guarantees if g.nutrient == nutrient)
        return next((g for g in of if bound in (None, g.bound)), None)

    @cached_property
    def sheet(self) -> Sheet | None:
        """What is weighed for the food; None where only its label is known."""
        return self._weigh(self) if self._weigh else None

    @cached_property
    def bounds(self) -> PromiseAnswers:
        """Who answers questions about shares: the batch sheet; without one order, and the
        solver where order leaves a question open."""
        return self.sheet.answers if self.sheet else self._label_shares.bounds

    @cached_property
    def order(self) -> ShareAnswers:
        """The answers that need no solver: exact, at times wider."""
        return self.sheet.answers if self.sheet else self._label_shares.order

    @property
    def formulas(self) -> Formulas:
        """All formulas that fit the label, under the premises on by default."""
        return self._label_shares.formulas()

    def formulas_under(
        self, premises: tuple[str, ...] | None, kept: Sequence[Condition] = ()
    ) -> Formulas:
        """All formulas that fit under the named premises (None: those on by default). `kept`
        are the conditions of the name, for the premise `name`."""
        from panellint.analysis.nutrition_input import calculated_kcal

        kcal = calculated_kcal(self) if "calories" in (premises or ()) else None
        return self._label_shares.formulas_under(premises, kept, kcal)

    def answers_of(self, formulas: Formulas) -> ShareAnswers:
        """What a set of formulas of the label answers, with the shortest proofs."""
        return self._label_shares.answers(formulas)

    def may_hold(self, nutrient: str, of_dry: float) -> bool:
        """Whether a recipe is found that fits and of whose dry matter so much may be a nutrient, in
        its own unit; where none is found, nothing is said."""
        return self._label_shares.witnesses.may_hold(nutrient, of_dry)

    @property
    def solver_failed(self) -> bool:
        """Whether the solver gave no answer to a question so far, and order alone answers it."""
        return "_label_shares" in self.__dict__ and self._label_shares.failed

    @cached_property
    def _label_shares(self) -> LabelShares:
        from panellint.analysis.label_shares import LabelShares

        return LabelShares(self)

    @cached_property
    def groups(self) -> Mapping[str, bool]:
        """What the market's text says of groups in a list: whether a group is `ranked` by its
        total weight, and its members `ordered` by theirs."""
        of: dict[str, dict[str, bool]] = data("markets")["groups"]
        return of.get(self.edition, of["otherwise"])
