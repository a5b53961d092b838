"""The working sheet of a statement: from plain facts to all that they allow.

What cannot be worked out is refused with its reason, and no number stands in for it.
"""

from collections.abc import Iterator
from functools import cached_property
from typing import Any

from panellint.catalogue.model import Range
from panellint.core.errors import ContradictoryFigures, ImpossibleFigure, NotComputable
from panellint.core.numbers import decimal
from panellint.nutrition import energy as me
from panellint.nutrition import mixture
from panellint.nutrition.adequacy import Adequacy, Ratio, judged, ratio
from panellint.nutrition.bases import (
    PARTS,
    Analysis,
    carbohydrate_by_difference,
    on_dry_matter,
    on_energy,
)
from panellint.nutrition.blending import with_water
from panellint.nutrition.bounds import ContentBounds, box, near_the_truth, undeclared_at_most
from panellint.nutrition.profiles import is_under_fediaf
from panellint.nutrition.statement import (
    Box,
    Energy,
    LabelEnergy,
    NutritionInput,
    Refused,
    Step,
    refusal,
)
from panellint.rulepacks.data import data

_MINIMA = ("protein", "fat")


class Assessment:
    """All that can be worked out for one food: all bases, ranges, energy and profile.

    Each step is worked out when it is first asked for.
    """

    def __init__(self, facts: NutritionInput) -> None:
        self.facts = facts

    @property
    def _steps(self) -> tuple[Step[Any], ...]:
        return (
            self._printed,
            self._sound,
            self._analysis,
            self._energy,
            self._boxes,
            self._adequacy,
            self._prepared,
        )

    @property
    def refused(self) -> tuple[Refused, ...]:
        """What could not be worked out, and why."""
        return (*self.facts.unread, *(refused for step in self._steps for refused in step.refused))

    @property
    def notes(self) -> tuple[str, ...]:
        """What was taken for granted, and what is to be known beside the figures."""
        return (*self.facts.remarks, *(note for step in self._steps for note in step.notes))

    @property
    def printed(self) -> dict[str, ContentBounds]:
        """The printed parts; dietary fibre stands in where crude fibre is not printed."""
        return self._printed.result

    @cached_property
    def _printed(self) -> Step[dict[str, ContentBounds]]:
        printed = dict(self.facts.printed)
        notes = []
        dietary = printed.get("dietary-fibre")
        if "fibre" not in printed and dietary is not None:
            printed["fibre"] = ContentBounds(dietary.low, dietary.high, dietary.declared)
            notes.append(
                "dietary fibre stands in for crude fibre: carbohydrate is without any fibre"
            )
        # "Total carbohydrate" counts the fibre in, so it only limits what is left from above.
        total = printed.pop("carbohydrate", None)
        if total is not None and total.high is not None:
            printed["carbohydrate"] = ContentBounds(high=total.high, declared=False)
        return Step(printed, notes=tuple(notes))

    # The point estimate -------------------------------------------------------------------------

    @cached_property
    def _presumed(self) -> dict[str, float]:
        """What practice takes for moisture and ash where they are not printed, percent as fed."""
        form = self.facts.form
        moisture = form.moisture_default
        if moisture is None and self._moisture_unsaid is not None:
            # What need not be said is little: the food is a dry one.
            moisture = float(data("data/forms")["moisture_of_class"]["dry"])
        usual = {"moisture": moisture, "ash": form.ash.typical if form.ash else None}
        return {
            part: value
            for part, value in usual.items()
            if value is not None and (part not in self.printed or self.printed[part].point is None)
        }

    @property
    def assumed(self) -> tuple[str, ...]:
        """The parts of the point estimate that were not printed."""
        return tuple(self._presumed)

    @property
    def analysis(self) -> Analysis:
        """The point estimate, percent as fed."""
        return self._analysis.result

    @cached_property
    def _analysis(self) -> Step[Analysis]:
        parts = {part: b.point for part, b in self.printed.items() if part in PARTS[:5]}
        parts |= self._presumed
        refused: tuple[Refused, ...] = ()
        notes: tuple[str, ...] = ()
        if not self.sound:
            return Step(Analysis.of(parts))
        try:
            parts["carbohydrate"] = carbohydrate_by_difference(*(parts.get(p) for p in PARTS[:5]))
        except ContradictoryFigures as fault:
            if any("practice" in rests_on for _, rests_on in self.boxes):
                # ContentBounds that are near the truth and still pass 100 leave next to nothing.
                parts["carbohydrate"] = 0.0
                notes = (
                    f"{fault.reason}: the printed figures are bounds or have a tolerance and "
                    "cannot all be exact; carbohydrate by difference is below nothing and is "
                    "taken as 0",
                )
            else:
                refused = refusal("carbohydrate", fault)
        except NotComputable as fault:
            refused = refusal("carbohydrate", fault)
        return Step(Analysis.of(parts), refused, notes)

    @property
    def dry_matter(self) -> dict[str, float | None]:
        """The parts in percent of dry matter; all None where that cannot be told."""
        try:
            return on_dry_matter(self.analysis)
        except NotComputable:
            return dict.fromkeys(PARTS)

    @property
    def per_1000_kcal(self) -> dict[str, float | None]:
        """The parts in grams per 1000 kcal; all None where that cannot be told."""
        kcal = self.kcal_per_kg
        return on_energy(self.analysis, kcal) if kcal else dict.fromkeys(PARTS)

    # Ranges -------------------------------------------------------------------------------------

    @property
    def sound(self) -> bool:
        """False where no food can fit the printed figures, which is then refused."""
        return self._sound.result

    @cached_property
    def _sound(self) -> Step[bool]:
        try:
            mixture.check_box(self._guaranteed)
        except ContradictoryFigures as fault:
            return Step(False, refusal("guarantees", fault))
        return Step(True)

    @property
    def _moisture_unsaid(self) -> float | None:
        """The most moisture that may go unsaid; None for a form that is plainly moister, whose
        label then lacks a line."""
        if self.facts.form.moisture_class not in (None, "dry"):
            return None
        return undeclared_at_most(self.facts.market, "moisture")

    @cached_property
    def _guaranteed(self) -> Box:
        """What the printed figures alone leave of each part."""
        unsaid = self._moisture_unsaid
        return box(self.printed, self.facts.market, None if unsaid is None else Range(0.0, unsaid))

    @property
    def widest(self) -> Box | None:
        """What the printed figures alone leave of each part; None where no food fits them."""
        return self._guaranteed if self.sound else None

    @property
    def boxes(self) -> tuple[tuple[Box, tuple[str, ...]], ...]:
        """Ranges of the parts with the premises that each rests on, widest first."""
        return self._boxes.result

    @cached_property
    def _boxes(self) -> Step[tuple[tuple[Box, tuple[str, ...]], ...]]:
        if not self.sound:
            return Step(())
        widest: tuple[Box, tuple[str, ...]] = (self._guaranteed, ("guarantees",))
        usual = self._usual()
        try:
            mixture.check_box(usual)
        except ContradictoryFigures as fault:
            note = f"with guarantees printed near the truth the figures fit no food: {fault.reason}"
            return Step((widest,), notes=(note,))
        return Step((widest, (usual, ("guarantees", "practice"))))

    def _usual(self) -> Box:
        """Guarantees printed near the truth, the usual ash and moisture of the form."""
        usual = near_the_truth(self._guaranteed, self.printed)
        ash = self.facts.form.ash
        if ash is not None and "ash" not in self.printed:
            usual["ash"] = Range(ash.low, ash.high)
        if "moisture" not in self.printed and self.facts.form.moisture_usual is not None:
            low, high = self.facts.form.moisture_usual
            usual["moisture"] = Range(low, min(high, max(low, usual["moisture"].high)))
        return usual

    def range_of(
        self, part: str = "", basis: str = ""
    ) -> tuple[tuple[Range, tuple[str, ...]], ...]:
        """The range of a part on a basis, or of the energy, over every box, with what each rests
        on."""
        results = []
        for bounds, rests_on in self.boxes:
            try:
                wide = (
                    mixture.content_range(bounds, part, basis)
                    if part
                    else mixture.energy_range(bounds)
                )
                results.append((wide, rests_on))
            except NotComputable:
                continue
        return tuple(results)

    # Energy -------------------------------------------------------------------------------------

    def _methods(self) -> Iterator[str]:
        """Methods of energy, the main one first: what the market's guidance takes."""
        by_guidance = is_under_fediaf(self.facts.market)
        natural = self.facts.form.natural and self.facts.form.id != "unknown"
        first = me.MODIFIED_ATWATER
        if by_guidance:
            first = me.NATURAL_PRODUCTS if natural else me.NRC_2006
        yield first
        for other in (me.MODIFIED_ATWATER, me.NRC_2006, me.NATURAL_PRODUCTS):
            if other != first and (other != me.NATURAL_PRODUCTS or natural):
                yield other

    @property
    def energy(self) -> Energy | None:
        """Energy by every method; None where the figures do not give it."""
        return self._energy.result

    @cached_property
    def _energy(self) -> Step[Energy | None]:
        if not self.sound:
            return Step(None)
        a = self.analysis
        try:
            shares = me.energy_shares(a)
        except NotComputable as fault:
            return Step(None, refusal("energy", fault))
        by_method: dict[str, float] = {}
        refused: list[Refused] = []
        notes: list[str] = []
        for method in self._methods():
            try:
                by_method[method] = me.energy_of(a, method, self.facts.species)
            except NotComputable as fault:
                refused += refusal(f"energy by {me.method(method).title}", fault)
        method = next(iter(by_method))
        steps = None
        if me.NRC_2006 in by_method:
            steps = me.four_steps(self.facts.species or "", a)
            if me.fibre_beyond_equation(a):
                notes.append("so much fibre that the NRC equation may read low")
        computed = by_method[method]
        label = self._label_energy(computed)
        energy = Energy(computed, method, by_method, shares, steps, label, self._uplift)
        return Step(energy, tuple(refused), tuple(notes))

    @property
    def kcal_per_kg(self) -> float | None:
        """The computed energy as fed, by the main method."""
        return self.energy.kcal_per_kg if self.energy else None

    @property
    def _uplift(self) -> float | None:
        """What practice multiplies energy by that was worked out from minima of protein and fat;
        None where the label declares values or the class of moisture is not known."""
        minima = all(b is not None and b.bound == "min" for b in map(self.printed.get, _MINIMA))
        moisture_class = self.facts.form.moisture_class
        return me.uplift_of_guarantees(moisture_class) if minima and moisture_class else None

    def _label_energy(self, computed: float) -> LabelEnergy | None:
        label = self.facts.kcal_per_kg
        if label is None:
            return None

        reach = mixture.energy_range(self.widest) if self.widest else None
        possible = None if reach is None else reach.low - 1e-6 <= label <= reach.high + 1e-6
        apart = label - computed
        return LabelEnergy(label, self.facts.kcal_method, apart, 100 * apart / computed, possible)

    # Against the profile ------------------------------------------------------------------------

    @property
    def adequacy(self) -> Adequacy | None:
        """The food against the profile that it is to meet; None where there is none."""
        return self._adequacy.result

    @cached_property
    def _adequacy(self) -> Step[Adequacy | None]:
        if not self.sound:
            return Step(None)
        try:
            kcal = self.facts.kcal_per_kg or self.kcal_per_kg
            return Step(judged(self.facts, self.analysis.moisture, kcal, self.widest))
        except NotComputable as fault:
            return Step(None, refusal("profile", fault))

    @property
    def calcium_phosphorus(self) -> Ratio | None:
        """Calcium over phosphorus; None where one of them is not printed."""
        printed = self.facts.printed
        if not {"calcium", "phosphorus"} <= printed.keys():
            return None
        return ratio(printed["calcium"], printed["phosphorus"])

    @property
    def prepared(self) -> Analysis | None:
        """The food in the bowl, percent as fed; None where no water is added."""
        return self._prepared.result

    @cached_property
    def _prepared(self) -> Step[Analysis | None]:
        water = self.facts.water
        if water is None:
            return Step(None)
        try:
            if not water > 0:
                raise ImpossibleFigure(f"{decimal(water)} weights of water to one of food", "water")
            return Step(with_water(self.analysis, water))
        except NotComputable as fault:
            return Step(None, refusal("prepared food", fault))
