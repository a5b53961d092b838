"""The set of all formulas that fit a label, and what it proves."""

from collections.abc import Callable, Iterable, Sequence
from fractions import Fraction
from functools import cached_property, partial

from panellint.catalogue.model import PARTS, Range
from panellint.core.numbers import decimal
from panellint.core.text import is_plural
from panellint.core.units import part_of_whole
from panellint.ingredients.model import Declaration, Ingredient
from panellint.label.model import Guarantee
from panellint.nutrition.energy import factors
from panellint.shares.explain import premises_of, rank_alone, sentence, sentences_of
from panellint.shares.model import (
    Base,
    Bounds,
    ClashLine,
    Condition,
    Judgement,
    Path,
    Proof,
    Weights,
    no_proof,
)
from panellint.shares.premises import DEFAULT, Premise, Reading, in_order, numbers
from panellint.shares.solver.composition import (
    Composition,
    Ranges,
    catalogue_ranges,
    composition_of,
    nutrient_interval,
    usual_levels,
)
from panellint.shares.solver.constraints import (
    Columns,
    Constraint,
    Terms,
    composition_constraints,
    label_constraints,
    water_constraints,
)
from panellint.shares.solver.guarantees import (
    Cost,
    Tolerance,
    analysis_of,
    dry_weight_of,
    energy_constraints,
    guarantee_constraints,
    limits,
    name_constraints,
    near_constraints,
    nonzero,
    nutrient_units,
    parts_needed,
    usual_constraints,
    weight_of,
)
from panellint.shares.solver.judging import judge, refuted
from panellint.shares.solver.problem import Extreme, System, smallest_clash
from panellint.shares.solver.rounding import outward_of
from panellint.shares.tree import Tree
from panellint.shares.unlisted import is_unlisted, with_unlisted

#: A part of the mix by which a formula found shows that something is not nothing.
SEEN = 1e-7
#: The longest list whose guarantees are used: no label comes near, and time stays bounded.
LONGEST = 250


class Formulas:
    """All formulas that fit one label under the chosen premises.

    `ranges` gives each ingredient's composition (nutrient id to range in the nutrient's unit).
    `water` is
    net water lost in processing, in percent of the mix (negative: taken up); None where nothing
    is known of it. `tolerance` gives how far an analysis may lie from a declared value. `kept`
    are the name's conditions for the premise `name`, `kcal_per_kg` a calculated calorie line as fed
    for the premise `calories`. `unlisted` are "water" and "additives"
    where the market lets a label leave them out of its list of ingredients; each is then one
    leaf more, behind the declared ones. `reading` and `as_listed` are as for a
    `Tree`.
    """

    def __init__(
        self,
        declaration: Declaration,
        *,
        guarantees: Iterable[Guarantee] = (),
        ranges: Ranges = catalogue_ranges,
        water: Range | None = None,
        tolerance: Tolerance | None = None,
        premises: Iterable[Premise] = DEFAULT,
        kept: Sequence[Condition] = (),
        kcal_per_kg: float | None = None,
        usual: Callable[[Ingredient], Range | None] = usual_levels,
        groups_ranked: bool = True,
        groups_ordered: bool = True,
        unlisted: Iterable[str] = (),
        reading: Reading = Reading.MIXED,
        as_listed: bool = False,
    ) -> None:
        self.premises = in_order(premises)
        self.tree = Tree(
            with_unlisted(declaration, unlisted),
            groups_ranked=groups_ranked and Premise.GROUPS in self.premises,
            groups_ordered=groups_ordered,
            groups_beside=Premise.GROUPS in self.premises,
            reading=reading,
            as_listed=as_listed,
        )
        self.units = nutrient_units()
        self._ranges = [
            catalogue_ranges(leaf.ingredient)
            if is_unlisted(leaf.ingredient)
            else ranges(leaf.ingredient)
            for leaf in self.tree.leaves
        ]
        self._compositions: tuple[Composition, ...] = tuple(
            composition_of(leaf.ingredient, given)
            for leaf, given in zip(self.tree.leaves, self._ranges, strict=True)
        )
        self._numbers = numbers()
        self._long = len(self.tree.leaves) > LONGEST
        used = Premise.GUARANTEES in self.premises and not self._long
        self._limits = limits(guarantees, self.units, tolerance) if used else ()
        self._kcal: Fraction | None = None
        if kcal_per_kg and Premise.CALORIES in self.premises and not self._long:
            self._kcal = Fraction(str(kcal_per_kg))
        # A share of what the list counts is no sum of weights where that may be either of two.
        linear = [c for c in kept if reading is Reading.MIXED or c.base is not Base.LISTED]
        self._kept = tuple(linear) if Premise.NAME in self.premises else ()
        self._left_out = Premise.NAME in self.premises and len(linear) < len(kept)
        self._usual = usual
        self._set_water(water)
        self._systems: dict[tuple[frozenset[str], bool], System] = {}

    def _set_water(self, water: Range | None) -> None:
        """Water lost as a part of the mix; without its premise, anything between nothing and
        all that is there, and any amount taken up."""
        taken = Premise.WATER in self.premises
        low, high = Fraction(0), self._numbers.kappa
        if water is not None:
            low, high = (Fraction(str(end)) / 100 for end in water)
        self._water = (low, high) if taken else None
        self._loses = not taken or high > 0
        self._gains = not taken or low < 0

    @property
    def notes(self) -> tuple[str, ...]:
        """What could not be used, in plain words: composition ranges that contradict each other,
        the guarantees of a list that is too long to work out with them, a promise that is no sum of
        weights, and the solver where it failed."""
        faults = [composition.fault for composition in self._compositions if composition.fault]
        if self._long:
            faults.append(f"a list of more than {LONGEST} is worked out without its guarantees")
        if self._left_out:
            faults.append("the name's promise is of what the list counts, and is not taken as kept")
        if self.failed:
            faults.append("the solver gave no answer to some questions; there order alone is told")
        return tuple(faults)

    @property
    def failed(self) -> bool:
        """Whether the solver gave no answer to some question, so that order alone answers it."""
        return any(system.failed for system in self._systems.values())

    def content(self, leaf: int, nutrient: str) -> tuple[Fraction, Fraction | None]:
        """The least and the most of a nutrient in a leaf, as a part of its weight."""
        unit = self.units.get(nutrient, "%" if nutrient in PARTS else "")
        return nutrient_interval(nutrient, unit, self._ranges[leaf], self._compositions[leaf])

    def system(
        self, base: Base = Base.MIX, parts: Iterable[str] = (), whole: bool = False
    ) -> System:
        """The constraints over the columns that a question on a base, or about parts, needs;
        `whole`: with a column for each part, even one that an ingredient does not hold."""
        apart = set(parts_needed(self._limits)) | set(parts)
        bases = {base, *(condition.base for condition in self._kept)}
        if self._kcal is not None:
            apart.add("carbohydrate")
        food = bool(self._limits) or self._kcal is not None or Base.FOOD in bases
        if Base.DRY_MATTER in bases or (food and (self._loses or self._gains)):
            apart.add("moisture")
        if self.tree.reading is not Reading.MIXED:
            apart.add("moisture")
        if "carbohydrate" in apart:
            apart = {part for part in PARTS if part != "carbohydrate"}
        key = frozenset(apart), whole
        if key not in self._systems:
            self._systems[key] = self._build(*key)
        return self._systems[key]

    def _build(self, apart: frozenset[str], whole: bool) -> System:
        wet = "moisture" in apart
        columns = Columns(
            self.tree,
            self._compositions,
            apart,
            loses=wet and self._loses,
            gains=wet and self._gains,
            whole=whole,
        )
        constraints = list(label_constraints(columns, self.premises))
        constraints += guarantee_constraints(columns, self._limits, self.content)
        if self._kcal is not None:
            constraints += energy_constraints(columns, self._kcal, factors(), self._numbers)
        constraints += name_constraints(columns, self._kept)
        if Premise.PRACTICE in self.premises:
            constraints += near_constraints(columns, self._limits, self._numbers)
            constraints += usual_constraints(columns, self._usual, self._numbers)
        constraints += composition_constraints(columns)
        if wet and self._water:
            constraints += water_constraints(columns, *self._water, self._numbers.kappa)
        return System(columns, constraints)

    # ---- does anything fit ----

    @cached_property
    def _misfit(self) -> tuple[Constraint, ...] | None:
        system = self.system()
        if system.has_formula():
            return None
        _, certificate = system.misfit()
        if certificate is None:
            return None
        return smallest_clash([system.constraints[r] for r in certificate.used], system)

    @property
    def consistent(self) -> bool:
        """False where it is proven that no formula fits the label."""
        return self._misfit is None

    @property
    def clash(self) -> tuple[ClashLine, ...]:
        """Statements that cannot all be true: leave any one out and the others fit."""
        return tuple(
            ClashLine(premise, words)
            for premise, words in sentences_of(self._misfit or (), self.tree)
        )

    @property
    def clash_rests_on(self) -> tuple[Premise, ...]:
        """What the clash rests on; with `composition` in it, the ranges may be to blame."""
        return premises_of(self._misfit or ())

    # ---- questions ----

    def extreme(self, system: System, cost: Terms, base: Base) -> Extreme:
        """The certified most of a cost; nothing is claimed where no formula fits."""
        extreme = system.most(cost, base)
        # Where a solution is found, some formula fits.
        return extreme if extreme.sure or self.consistent else Extreme(None, (), False)

    def bounds(self, weights: Weights, base: Base = Base.MIX) -> Bounds:
        """The least and the most of a weighted sum of shares, in percent of the base.

        `weights` maps paths of ingredients or groups to factors. On the base of the finished
        food a fresh ingredient may come to more than 100 %, since it is weighed as mixed.
        Raises KeyError for a path that the declaration does not have.
        """
        cost = partial(weight_of, self.tree.leaf_weights(weights))
        paths = tuple(weights)
        named = " + ".join(self.tree.entries[path].name for path in paths)
        return self._between((), cost, cost, base, named, Fraction(100), paths)

    def nutrient(self, nutrient: str, base: Base = Base.FOOD) -> Bounds:
        """The least and the most of a nutrient, in percent of the base or in its own unit.

        Percent for the six parts and nutrients kept in percent, otherwise the nutrient's unit
        (mg/kg, IU/kg). The most is infinite where nothing is known of an ingredient.
        """
        part = nutrient in PARTS
        unit = self.units.get(nutrient, "%" if part else "")
        scale = 1 / (part_of_whole(unit) or Fraction(1))
        if part:
            cost = partial(analysis_of, nutrient, base in (Base.FOOD, Base.DRY_MATTER))
            return self._between((nutrient,), cost, cost, base, nutrient, scale, ())
        contents = [(leaf.index, *self.content(leaf.index, nutrient)) for leaf in self.tree.leaves]
        least = partial(weight_of, {leaf: low for leaf, low, _ in contents})
        highs = {leaf: high for leaf, _, high in contents if high is not None}
        most = partial(weight_of, highs) if len(highs) == len(contents) else None
        bounds = self._between((), least, most, base, nutrient, scale, (), unit)
        weighed = part_of_whole(unit) is not None and base is not Base.MIX_WITHOUT_WATER
        if weighed and bounds.high > scale:
            # Unknown contents may each be everything, yet the food is no more than itself.
            return Bounds.between(bounds, Bounds(0.0, float(scale), sure=bounds.sure))
        return bounds

    def dry_weight(self, weights: Weights) -> Bounds:
        """The dry matter that a weighted sum of ingredients brings, in percent of the mix."""
        dry = partial(dry_weight_of, self.tree.leaf_weights(weights))
        return self._between(("moisture",), dry, dry, Base.MIX, "dry matter", Fraction(100), ())

    def below(self, weights: Weights, base: Base = Base.MIX) -> tuple[bool, bool]:
        """Whether a weighted sum is less than nothing in every formula, and in some: of weights as
        mixed, or of dry matter."""
        weigh = dry_weight_of if base is Base.DRY_MATTER else weight_of
        system = self.system(base)
        cost = nonzero(weigh(self.tree.leaf_weights(weights), system.columns))
        turned = nonzero(cost, -1)
        # Formulas that are known already often decide.
        if not system.reaches(cost, 0):
            bound = self.extreme(system, cost, Base.MIX).bound
            if bound is not None and bound.most < 0:
                return True, True
        if system.reaches(turned, SEEN):
            return False, True
        other = self.extreme(system, turned, Base.MIX).bound
        return False, other is None or other.most > 0

    def judge(self, *alternatives: Sequence[Condition]) -> Judgement:
        """Whether any one of the alternatives is met in full: by no formula, by all, by some."""
        return judge(self, alternatives)

    def refuted(self, *alternatives: Sequence[Condition]) -> Judgement | None:
        """The judgement where no formula meets any of the alternatives; None where one may."""
        return refuted(self, alternatives)

    # ---- proofs ----

    def _between(
        self,
        parts: Sequence[str],
        least: Cost,
        most: Cost | None,
        base: Base,
        what: str,
        scale: Fraction,
        paths: Sequence[Path],
        unit: str = "%",
    ) -> Bounds:
        system = self.system(base, parts)
        nothing = Extreme(None, (), True)
        verb = "are" if len(paths) > 1 or is_plural(what) else "is"
        proof = partial(self._proof, parts, base, paths, unit)
        upper = lower = nothing
        if most is not None:
            upper = self.extreme(system, nonzero(most(system.columns)), base)
        cost = least(system.columns)
        positive = min(cost.values(), default=0) >= 0
        if not positive or not system.reaches(nonzero(cost, -1), 0, base):
            lower = self.extreme(system, nonzero(cost, -1), base)
        high, high_words = float("inf"), no_proof
        if upper.bound is not None and most is not None:
            high = outward_of(*(upper.bound.most * scale).as_integer_ratio(), up=True)
            high_words = partial(proof, most, 1, scale, f"{what} {verb} at most")
        low, low_words = float("-inf"), no_proof
        if lower.bound is not None:
            low = outward_of(*(-lower.bound.most * scale).as_integer_ratio(), up=False)
            low_words = partial(proof, least, -1, -scale, f"{what} {verb} at least")
        if low <= 0 and positive:
            low, low_words = 0.0, no_proof
        return Bounds(low, high, low_words, high_words, upper.sure and lower.sure)

    def _proof(
        self,
        parts: Sequence[str],
        base: Base,
        paths: Sequence[Path],
        unit: str,
        terms: Cost,
        sign: int,
        scale: Fraction,
        claim: str,
    ) -> Proof:
        """A certified bound in sentences, from no more constraints than it needs, with all that it
        takes for true."""
        system = self.system(base, parts, whole=True)
        cost = nonzero(terms(system.columns), sign)
        bound = self.extreme(system, cost, base).bound
        if bound is None:
            return Proof()
        bound = system.simpler(cost, base, bound)
        used = [system.constraints[place] for place in bound.used]
        if not used:
            return Proof()
        ending = f"so {claim} {decimal(bound.most * scale)} {unit} of the {base.words}"
        alone = len(paths) == 1 and base is Base.MIX
        short = rank_alone(used, self.tree, paths[0]) if alone else None
        words = [short] if short else [words for _, words in sentences_of(used, self.tree)]
        rests_on = premises_of(used)
        of_food = base in (Base.FOOD, Base.DRY_MATTER) or Premise.GUARANTEES in rests_on
        if of_food and system.columns.lost and Premise.WATER not in rests_on:
            words.append("Processing takes out or adds water, and nothing else.")
            rests_on = in_order((*rests_on, Premise.WATER))
        return Proof((*words, sentence(ending)), rests_on, bound.exact)
