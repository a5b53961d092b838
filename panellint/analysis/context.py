"""One label with everything known about it, computed when first asked for.

Checks and commands read a case; nothing is computed twice, and nothing before it is needed:
the solver is only imported by who asks for `formulas`.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from fractions import Fraction
from functools import cache, cached_property
from typing import TYPE_CHECKING, Any, TypeVar

from panellint.catalogue import Catalogue, load
from panellint.core.patterns import pattern
from panellint.core.source import Source, Span
from panellint.ingredients.model import Declaration, Ingredient
from panellint.ingredients.product_name import Promise, read_promises, supporting
from panellint.ingredients.resolve import identify
from panellint.label.languages import language_of
from panellint.label.model import Bound, Guarantee, Label, Section, TextFault
from panellint.label.reader import read_label
from panellint.label.statements import species_in, stages_in
from panellint.nutrition.forms import Form, form_of
from panellint.rulepacks.data import data
from panellint.rulepacks.model import LabelKind
from panellint.rulepacks.settings import Settings, editions

if TYPE_CHECKING:
    from panellint.shares.engine import FallbackEngine
    from panellint.shares.exact.declaration_bounds import OrderAnswers
    from panellint.shares.model import Condition
    from panellint.shares.premises import Premise
    from panellint.shares.solver.formula_set import Formulas

T = TypeVar("T")

_BRACKET_FAULTS = frozenset(
    {"unclosed-bracket", "surplus-bracket", "mismatched-bracket", "deep-nesting"}
)


@cache
def _modernised() -> re.Pattern[str]:
    """Words that only the modernised US text has, some of them at a line's start."""
    return re.compile("|".join(data("words/uses")["modernised"]), re.IGNORECASE | re.MULTILINE)


def uses_in(words: str) -> tuple[str, ...]:
    """The uses that words name: treat, topper, mixer, supplement..."""
    return tuple(
        use["use"] for use in data("words/uses")["uses"] if pattern(*use["words"]).search(words)
    )


class LabelContext:
    """What is known of one label, under the settings that reach it.

    `quick` keeps to what needs no solver; so does a list that is longer than any label's.
    Make one with `LabelContext.of`.
    """

    def __init__(self, source: Source, settings: Settings, *, quick: bool = False) -> None:
        self.source = source
        self.settings = settings
        self._asked_quick = quick
        self._made: dict[Callable[[LabelContext], Any], Any] = {}

    @classmethod
    def of(
        cls, source: Source, settings: Settings | None = None, *, quick: bool = False
    ) -> LabelContext:
        """The case of a source; without settings, those that reach its path."""
        return cls(source, settings or Settings.for_path(source.path), quick=quick)

    def once(self, make: Callable[[LabelContext], T]) -> T:
        """What `make` makes of the case, made when first asked for: what several rules look at
        is the same for all of them. What is made must not hold the case itself."""
        found: T
        try:
            found = self._made[make]
        except KeyError:
            found = self._made[make] = make(self)
        return found

    @cached_property
    def quick(self) -> bool:
        """Whether the solver is left out: it was asked for, or the list is too long for it."""
        longest: int = data("data/premises")["premises"]["longest_list"]["entries"]
        return self._asked_quick or len(self.leaves) > longest

    # The label and its names -----------------------------------------------------------------

    @cached_property
    def label(self) -> Label:
        """The neutral tree of what is printed."""
        return read_label(self.source)

    @cached_property
    def catalogue(self) -> Catalogue:
        """The known ingredients."""
        return load()

    @cached_property
    def market(self) -> str:
        """The market whose rules apply: us, eu, uk or ca."""
        return self.settings.market_for(self.fact("market"))

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
        lines = [self.source.slice(s.heading) for s in self.label.sections_of("guarantees")]
        lines += [s.text for s in self.label.sections_of("adequacy") if s.heading.end]
        return any(_modernised().search(line) for line in lines)

    @cached_property
    def language(self) -> str:
        """The language of the declaration: the label's own fact, else the settings', else that
        of its headings."""
        said = self.fact("language") or self.settings.language
        return said[:2].lower() if said else language_of(self.label)

    @cached_property
    def declaration(self) -> Declaration:
        """The ingredients with what each name was taken for."""
        return identify(self.label, self.catalogue, market=self.market, language=self.language)

    @cached_property
    def entries(self) -> tuple[Ingredient, ...]:
        """Every ingredient and group, parents before members, in printed order."""
        return tuple(self.declaration.walk())

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
            named.span: supporting(named, self.declaration)
            for promise in self.promises
            for named in promise.named
        }

    @cached_property
    def text_faults(self) -> tuple[TextFault, ...]:
        """What was wrong with the text itself, in the order of the text."""
        faults = (*self.label.faults, *self.declaration.faults)
        return tuple(sorted(faults, key=lambda fault: (fault.span, fault.kind)))

    @cached_property
    def brackets_are_sound(self) -> bool:
        """False where brackets had to be mended, so that the tree may not be what was meant."""
        return not any(fault.kind in _BRACKET_FAULTS for fault in self.text_faults)

    # What kind of food it is -----------------------------------------------------------------

    def fact(self, kind: str) -> str | None:
        """The text of a fact of the panel file or of a section of the label, or None."""
        found = self.label.facts.get(kind)
        return found[0] if found else None

    @cached_property
    def species(self) -> str | None:
        """ "dog" or "cat"; None where the label does not say, or says both."""
        for words in (
            self.fact("species"),
            self.label.product_name,
            *(self.source.slice(a.span) for a in self.label.adequacy),
        ):
            found = species_in(words) if words else None
            if found:
                return found
        return None

    @cached_property
    def stages(self) -> tuple[str, ...]:
        """Life stages that the statement, the fact or the name speaks of, in a fixed order."""
        for words in (
            self.fact("life-stage") or "",
            " ".join(stage for a in self.label.adequacy for stage in a.stages),
            self.label.product_name,
        ):
            found = stages_in(words)
            if found:
                return found
        return ()

    @cached_property
    def uses(self) -> tuple[str, ...]:
        """What the food is sold for beside being eaten: treat, topper, mixer, supplement..."""
        statements = " ".join(s.text for s in self.label.sections_of("adequacy") if s.heading.end)
        words = " ".join((self.label.product_name, self.fact("form") or "", statements))
        return uses_in(words)

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
        found: dict[str, list[Section]] = {}
        for section in self.label.sections:
            found.setdefault(section.kind, []).append(section)
        return found

    def sections_of(self, kind: str) -> Sequence[Section]:
        """Every section of that kind, in the order of the text."""
        return self._sections.get(kind, ())

    def guarantee(self, nutrient: str, bound: Bound | None = None) -> Guarantee | None:
        """The first guarantee of a nutrient (with that bound, where one is given)."""
        return next(
            (
                g
                for g in self.label.guarantees
                if g.nutrient == nutrient and bound in (None, g.bound)
            ),
            None,
        )

    # Shares ----------------------------------------------------------------------------------

    @cached_property
    def bounds(self) -> FallbackEngine:
        """Who answers questions about shares: order, and the solver where order leaves a
        question open; not for a quick look, nor where the label says nothing that order does
        not take up in full."""
        from panellint.shares.engine import FallbackEngine

        if self.quick or (self.order.exact and not self.label.guarantees):
            return FallbackEngine(lambda: self.order, None, self._is_kept_in_order)
        from panellint.shares.exact.feasible_recipe import Witnesses

        found = Witnesses(self.order.tree, self.label.guarantees, self.form.water_lost)
        return FallbackEngine(lambda: self.order, lambda: self.formulas, found.is_kept)

    @cached_property
    def _is_simple(self) -> bool:
        """Whether order and the caps of a tail are all that the label says of shares."""
        from panellint.shares.exact.feasible_recipe import is_simple

        ranked = self._weighable is self.declaration
        return ranked and not self._unlisted and is_simple(self.entries)

    def _is_kept_in_order(self, alternatives: Sequence[Sequence[Condition]]) -> bool:
        """Whether one of the alternatives is seen to be kept, whatever is guaranteed."""
        from panellint.shares.exact.feasible_recipe import is_kept_alike

        top = self.declaration.ingredients
        return self._is_simple and any(is_kept_alike(top, some) for some in alternatives)

    @cached_property
    def order(self) -> OrderAnswers:
        """The answers that need no solver: exact, at times wider."""
        from panellint.shares.exact.declaration_bounds import OrderAnswers

        return OrderAnswers(
            self._weighable,
            premises=self._premises,
            water=self.form.water_lost,
            unlisted=self._unlisted,
            groups_ranked=self._groups["ranked"],
            groups_ordered=self._groups["ordered"],
        )

    @cached_property
    def _weighable(self) -> Declaration:
        """The declaration for who concludes from the order."""
        ranked = not any(entry.unranked for entry in self.entries)
        return self.declaration if ranked else self.declaration.weighable()

    @cached_property
    def groups_stand_in_order(self) -> bool:
        """Whether the text has the members of a group in descending order of weight."""
        return self._groups["ordered"]

    @cached_property
    def formulas(self) -> Formulas:
        """All formulas that fit the label, under the premises on by default."""
        return self.formulas_under(None)

    def formulas_under(
        self, premises: tuple[str, ...] | None, kept: Sequence[Condition] = ()
    ) -> Formulas:
        """All formulas that fit under the named premises (None: those on by default). `kept`
        are the conditions of the name, for the premise `name`."""
        from panellint.nutrition.tolerances import tolerance
        from panellint.shares.premises import chosen
        from panellint.shares.solver.formula_set import Formulas

        market = self.market
        return Formulas(
            self._weighable,
            guarantees=self.label.guarantees,
            water=self.form.water_lost,
            tolerance=lambda nutrient, declared: tolerance(market, nutrient, float(declared)),
            premises=self._premises if premises is None else chosen(premises),
            kept=kept,
            unlisted=self._unlisted,
            groups_ranked=self._groups["ranked"],
            groups_ordered=self._groups["ordered"],
        )

    @cached_property
    def _unlisted(self) -> dict[str, Fraction]:
        """What the market's list of ingredients leaves out, water and additives listed apart,
        with the amount of these that the label prints, in percent of the food."""
        from panellint.shares.solver.composition import PART_OF_WHOLE
        from panellint.shares.unlisted import ADDITIVES, left_out

        kinds = left_out(self.market, self.form.moisture_class)
        found = dict.fromkeys(kinds, Fraction(0))
        if ADDITIVES in found:
            for one in self.label.additives:
                if one.value is not None and one.unit in PART_OF_WHOLE:
                    found[ADDITIVES] += 100 * Fraction(one.value) * PART_OF_WHOLE[one.unit]
        return found

    @cached_property
    def _premises(self) -> tuple[Premise, ...]:
        from panellint.shares.premises import DEFAULT, Premise

        if self.brackets_are_sound:
            return DEFAULT
        # Where brackets were mended, neither rank nor membership is sure.
        shaky = {Premise.ORDER, Premise.GROUPS, Premise.TAIL, Premise.PERCENTAGES}
        return tuple(premise for premise in DEFAULT if premise not in shaky)

    @cached_property
    def _groups(self) -> dict[str, bool]:
        groups = data("markets")["groups"]
        found: dict[str, bool] = groups.get(self.edition, groups["otherwise"])
        return found
