"""The working sheet of a statement: from plain facts to all that they allow.

What cannot be worked out is refused with its reason, and no number stands in for it.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cached_property

from panellint.known import Range
from panellint.nutrition import energy as me
from panellint.nutrition import ranges
from panellint.nutrition.adequacy import Adequacy, Ratio, judge, ratio
from panellint.nutrition.bases import PARTS, Analysis, carbohydrate_by_difference, dry_matter
from panellint.nutrition.bounds import Bounds, box, left_open
from panellint.nutrition.data import figures
from panellint.nutrition.faults import (
    ContradictoryFigures,
    ImpossibleFigure,
    MissingFigure,
    NotComputable,
    need,
    number,
)
from panellint.nutrition.mixing import with_water
from panellint.nutrition.profiles import (
    ALL_STAGES,
    DRY_MATTER,
    Limit,
    NoProfile,
    authority_of,
    profile,
    stage_of,
)
from panellint.nutrition.statement import Box, Energy, Facts, LabelEnergy, Refused, Statement
from panellint.nutrition.tolerances import undeclared_at_most
from panellint.nutrition.units import convert

_MINIMA = ("protein", "fat")

# AAFCO methods, 2014 text, doc page 3.
_BY_TRIAL = (
    "a food that feeding trials substantiate need meet neither the minima nor the maxima of the "
    "profile"
)


def state(facts: Facts) -> Statement:
    """Work out all that the facts allow."""
    return _Work(facts).statement()


class _Work:
    """The working sheet of one statement."""

    def __init__(self, facts: Facts) -> None:
        self.facts = facts
        self.refused = list(facts.unread)
        self.notes = list(facts.remarks)
        self.assumed: list[str] = []

    def statement(self) -> Statement:
        analysis = self.analysis()
        energy = self.energy(analysis)
        return Statement(
            facts=self.facts,
            analysis=analysis,
            assumed=tuple(self.assumed),
            boxes=self.boxes,
            energy=energy,
            adequacy=self.adequacy(analysis, energy),
            calcium_phosphorus=self.calcium_phosphorus(),
            prepared=self.prepared(analysis),
            refused=tuple(self.refused),
            notes=tuple(self.notes),
        )

    def refuse(self, what: str, fault: NotComputable) -> None:
        self.refused.append(Refused(what, fault.reason, fault.names))

    @cached_property
    def printed(self) -> dict[str, Bounds]:
        """The printed parts; dietary fibre stands in where crude fibre is not printed."""
        printed = dict(self.facts.printed)
        dietary = printed.get("dietary-fibre")
        if "fibre" not in printed and dietary is not None:
            printed["fibre"] = Bounds(dietary.low, dietary.high, dietary.declared)
            self.notes.append(
                "dietary fibre stands in for crude fibre: carbohydrate is without any fibre"
            )
        # "Total carbohydrate" counts the fibre in, so it only limits what is left from above.
        total = printed.pop("carbohydrate", None)
        if total is not None and total.high is not None:
            printed["carbohydrate"] = Bounds(high=total.high, declared=False)
        return printed

    # The point estimate -------------------------------------------------------------------------

    def analysis(self) -> Analysis:
        form = self.facts.form
        parts = {part: b.point for part, b in self.printed.items() if part in PARTS[:5]}
        default = form.moisture_default
        if default is None and self.moisture_unsaid is not None:
            # What need not be said is little: the food is a dry one.
            default = float(figures("practice/forms")["moisture_of_class"]["dry"])
        if parts.get("moisture") is None and default is not None:
            parts["moisture"] = default
            self.assumed.append("moisture")
        if parts.get("ash") is None and form.ash is not None:
            parts["ash"] = form.ash.typical
            self.assumed.append("ash")
        if not self.sound:
            return Analysis.of({part: parts.get(part) for part in PARTS[:5]})
        try:
            parts["carbohydrate"] = carbohydrate_by_difference(
                *(parts.get(part) for part in PARTS[:5])
            )
        except ContradictoryFigures as fault:
            if not any("practice" in rests_on for _, rests_on in self.boxes):
                self.refuse("carbohydrate", fault)
            else:
                # Bounds that are near the truth and still pass 100 leave next to nothing.
                parts["carbohydrate"] = 0.0
                self.notes.append(
                    f"{fault.reason}: the printed figures are bounds or have a tolerance and "
                    "cannot all be exact; carbohydrate by difference is below nothing and is "
                    "taken as 0"
                )
        except NotComputable as fault:
            self.refuse("carbohydrate", fault)
        return Analysis.of(parts)

    # Ranges -------------------------------------------------------------------------------------

    @cached_property
    def sound(self) -> bool:
        """False where no food can fit the printed figures, which is then refused."""
        try:
            ranges.check_box(self.guaranteed)
        except ContradictoryFigures as fault:
            self.refuse("guarantees", fault)
            return False
        return True

    @property
    def moisture_unsaid(self) -> float | None:
        """The most moisture that may go unsaid; None for a form that is plainly moister, whose
        label then lacks a line."""
        if self.facts.form.moisture_class not in (None, "dry"):
            return None
        return undeclared_at_most(self.facts.market, "moisture")

    @cached_property
    def guaranteed(self) -> Box:
        """What the printed figures alone leave of each part."""
        unsaid = self.moisture_unsaid
        return box(
            self.printed,
            self.facts.market,
            moisture=None if unsaid is None else Range(0.0, unsaid),
        )

    @cached_property
    def boxes(self) -> tuple[tuple[Box, tuple[str, ...]], ...]:
        if not self.sound:
            return ()
        found: list[tuple[Box, tuple[str, ...]]] = [(self.guaranteed, ("guarantees",))]
        usual = self.usual()
        try:
            ranges.check_box(usual)
        except ContradictoryFigures as fault:
            self.notes.append(
                f"with guarantees printed near the truth the figures fit no food: {fault.reason}"
            )
        else:
            found.append((usual, ("guarantees", "practice")))
        return tuple(found)

    def usual(self) -> Box:
        """Guarantees printed near the truth, the usual ash and moisture of the form."""
        margins = figures("practice/premises")["premises"]["near_the_truth"]["margins"]
        usual = dict(self.guaranteed)
        for part, margin in margins.items():
            bounds = self.printed.get(part)
            if bounds is None or bounds.point is None:
                continue
            room = max(margin["points"], margin["share"] * bounds.point)
            low, high = usual[part]
            if bounds.low is not None:
                high = min(high, bounds.low + room)
            if bounds.high is not None:
                low = max(low, bounds.high - room)
            usual[part] = Range(min(low, high), max(low, high))
        ash = self.facts.form.ash
        if ash is not None and "ash" not in self.printed:
            usual["ash"] = Range(ash.low, ash.high)
        if "moisture" not in self.printed and self.facts.form.moisture_usual is not None:
            low, high = self.facts.form.moisture_usual
            usual["moisture"] = Range(low, min(high, max(low, usual["moisture"].high)))
        return usual

    # Energy -------------------------------------------------------------------------------------

    def methods(self) -> Iterator[str]:
        """Methods of energy, the main one first: what the market's guidance takes."""
        by_guidance = self.facts.market in ("eu", "uk")
        natural = self.facts.form.natural and self.facts.form.id != "unknown"
        first = me.MODIFIED_ATWATER
        if by_guidance:
            first = me.NATURAL_PRODUCTS if natural else me.NRC_2006
        yield first
        for other in (me.MODIFIED_ATWATER, me.NRC_2006, me.NATURAL_PRODUCTS):
            if other != first and (other != me.NATURAL_PRODUCTS or natural):
                yield other

    def energy(self, analysis: Analysis) -> Energy | None:
        if not self.sound:
            return None
        a = analysis
        try:
            need(protein=a.protein, fat=a.fat, carbohydrate=a.carbohydrate)
            shares = me.energy_shares(a.protein, a.fat, a.carbohydrate)
        except NotComputable as fault:
            self.refuse("energy", fault)
            return None
        found: dict[str, float] = {}
        for method in self.methods():
            try:
                found[method] = me.energy_of(analysis, method, self.facts.species)
            except NotComputable as fault:
                self.refuse(f"energy by {me.method(method).title}", fault)
        method = next(iter(found))
        steps = None
        if me.NRC_2006 in found:
            steps = me.four_steps(
                self.facts.species or "", a.protein, a.fat, a.carbohydrate, a.fibre, a.moisture
            )
            if me.fibre_beyond_equation(a.fibre or 0.0, a.moisture or 0.0):
                self.notes.append("so much fibre that the NRC equation may read low")
        computed = found[method]
        label = self.label_energy(computed)
        return Energy(computed, method, found, shares, steps, label, self.uplift)

    @property
    def uplift(self) -> float | None:
        """What practice multiplies energy by that was worked out from minima of protein and fat;
        None where the label declares values or the class of moisture is not known."""
        minima = all(b is not None and b.bound == "min" for b in map(self.printed.get, _MINIMA))
        moisture_class = self.facts.form.moisture_class
        return me.uplift_of_guarantees(moisture_class) if minima and moisture_class else None

    def label_energy(self, computed: float) -> LabelEnergy | None:
        label = self.facts.kcal_per_kg
        if label is None:
            return None
        possible = None
        if self.boxes:
            low, high = ranges.energy_range(self.boxes[0][0])
            possible = low - 1e-6 <= label <= high + 1e-6
        return LabelEnergy(
            label,
            self.facts.kcal_method,
            label - computed,
            100 * (label - computed) / computed,
            possible,
        )

    # Against the profile ------------------------------------------------------------------------

    def adequacy(self, analysis: Analysis, energy: Energy | None) -> Adequacy | None:
        facts = self.facts
        if not self.sound:
            return None
        stage = stage_of(facts.stages)
        if stage is None and facts.complete and facts.market in ("eu", "uk"):
            # FEDIAF 3.1: a complete food that names no stage is one for all.
            stage = ALL_STAGES
        try:
            if facts.complete is False:
                raise MissingFigure(
                    "the food is not complete: the whole day's ration is to meet the profile"
                )
            if facts.species is None:
                raise MissingFigure("no species is stated", "species")
            if stage is None:
                raise MissingFigure("no life stage is stated", "life-stage")
            authority, edition = authority_of(facts.market)
            kcal = facts.kcal_per_kg or (energy.kcal_per_kg if energy else None)
            wet = facts.form.moisture_class
            found = profile(
                authority,
                facts.species,
                stage,
                edition,
                basis=None if kcal else DRY_MATTER,
                food=None if wet is None else "wet" if wet == "wet" else "dry",
                large_size=facts.large_size,
            )
            judged = judge(
                found,
                facts.printed,
                moisture=analysis.moisture,
                kcal_per_kg=kcal,
                span_of=self.span_of,
            )
            return judged._replace(notes=(*judged.notes, _BY_TRIAL)) if facts.trial else judged
        except (NoProfile, NotComputable) as fault:
            self.refuse("profile", fault)
            return None

    def span_of(self, limit: Limit) -> Range | None:
        """What every food within the printed figures holds of a nutrient in its dry matter."""
        bounds = self.facts.printed.get(limit.nutrient)
        if limit.basis != DRY_MATTER or bounds is None or not self.boxes:
            return None
        widest = self.boxes[0][0]
        try:
            if limit.nutrient in PARTS:
                span = ranges.dry_matter_range(widest, limit.nutrient)
                return Range(*(convert(end, "%", limit.unit) for end in span))
            dry = ranges.dry_matter_of(widest)
            low, high = left_open(bounds, self.facts.market, limit.nutrient)
            least = dry_matter(convert(low, bounds.unit, limit.unit), 100 - dry.high)
            most = dry_matter(convert(high, bounds.unit, limit.unit), 100 - dry.low)
        except ImpossibleFigure:
            return None
        return Range(least, most)

    def calcium_phosphorus(self) -> Ratio | None:
        printed = self.facts.printed
        if not {"calcium", "phosphorus"} <= printed.keys():
            return None
        return ratio(printed["calcium"], printed["phosphorus"])

    def prepared(self, analysis: Analysis) -> Analysis | None:
        water = self.facts.water
        if water is None:
            return None
        try:
            if not water > 0:
                raise ImpossibleFigure(f"{number(water)} weights of water to one of food", "water")
            return with_water(analysis, water)
        except NotComputable as fault:
            self.refuse("prepared food", fault)
            return None
