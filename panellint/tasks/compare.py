"""Several foods side by side on one basis, with what they cost and what the numbers hide."""

from collections.abc import Iterable, Mapping, Sequence
from itertools import permutations

from panellint.analysis.context import LabelContext
from panellint.analysis.likely_answers import likely_parts
from panellint.core.errors import ImpossibleFigure
from panellint.core.records import to_data
from panellint.nutrition.assessment import Assessment
from panellint.nutrition.bases import PARTS, on_energy
from panellint.nutrition.energy import DailyNeed
from panellint.nutrition.serialize import PLACES, target_of
from panellint.results.foods import ComparedFood, Comparison
from panellint.results.shares import LikelyPart
from panellint.tasks.animal import Animal, animal_data, needs_of
from panellint.tasks.bowl import sentences
from panellint.tasks.food import Food, food_of

#: The bases that foods are told on; of the energy only protein, fat and carbohydrate have a part.
BASES = ("as fed", "dry matter", "per 1000 kcal", "energy share")

#: What foods are sorted by: the largest first, but the cheapest and the first name first.
ORDERS = (*PARTS, "energy", "cost", "name")

#: The animals in their order, and the key of a need of foods that do not say theirs.
_SPECIES, ANY = ("dog", "cat"), ""

#: Parts of which the words speak where the printed order turns round without the water.
_TOLD_PARTS = ("protein", "fat", "carbohydrate")


def values_on(
    statement: Assessment, basis: str, kcal_per_kg: float | None = None
) -> dict[str, float | None]:
    """The parts of a food on one of BASES; per 1000 kcal by that energy, else by the computed.
    Raises ImpossibleFigure for another basis."""
    if basis not in BASES:
        raise ImpossibleFigure(f"unknown basis {basis!r}; there are {', '.join(BASES)}")
    if basis == "energy share":
        shares = statement.energy.shares._asdict() if statement.energy else {}
        return {part: shares.get(part) for part in PARTS}
    if basis == "per 1000 kcal" and kcal_per_kg is not None:
        return on_energy(statement.analysis, kcal_per_kg)
    if basis == "as fed":
        return statement.analysis.as_dict()
    return statement.dry_matter if basis == "dry matter" else statement.per_1000_kcal


def compare_labels(
    contexts: Sequence[LabelContext], basis: str, sort_by: str, animal: Animal | None
) -> Comparison:
    """Returns labels side by side, each with what is likely of it; raises as `compare`."""
    foods = [food_of(context) for context in contexts]
    needs = needs_of(animal, [food.statement.facts.species for food in foods])
    likely = [likely_parts(context) for context in contexts]
    return compare(foods, basis=basis, sort_by=sort_by, needs=needs, likely=likely)


def compare(
    foods: Sequence[Food],
    *,
    basis: str = "dry matter",
    sort_by: str = "protein",
    needs: Mapping[str, DailyNeed] | None = None,
    own: bool | None = None,
    likely: Sequence[dict[str, LikelyPart]] = (),
) -> Comparison:
    """Returns the foods on one basis, sorted; `panellint.api.compare` says the rest.

    Foods for dogs stand before those for cats. One energy is used throughout: the labels' own
    (`own`; by default where every food has it), else the computed. `needs` are daily needs by
    species, `likely` is what each food likely holds. Foods that lack what they are sorted by come
    last; ties go by name and path. Raises ImpossibleFigure where foods cannot be sorted as asked:
    none has such a figure, or prices are in several currencies.
    """
    if sort_by not in ORDERS:
        raise ImpossibleFigure(f"unknown order {sort_by!r}; there are {', '.join(ORDERS)}")
    own = has_own_energy(foods) if own is None else own
    pairs = zip(foods, likely or [{} for _ in foods], strict=True)
    rows = [_row(food, basis, needs or {}, own, figures) for food, figures in pairs]
    notes = [ENERGY[own]] if any(row["kcal_per_kg"] for row in rows) else []
    currencies = sorted({food.currency for food in foods if food.price is not None})
    if len(currencies) > 1:
        listed = " and ".join(currency or "no stated currency" for currency in currencies)
        if sort_by == "cost":
            raise ImpossibleFigure(f"prices are in {listed}: foods cannot be sorted by cost")
        notes.append(f"prices are in {listed}: they are not compared")
    if sort_by != "name" and all(_figure(row, sort_by) is None for row in rows):
        raise ImpossibleFigure(f"no food can be sorted by {sort_by}: none has that figure")
    rows.sort(key=lambda row: _key(row, sort_by))
    animals = [animal_data(species, need) for species, need in sorted((needs or {}).items())]
    return {
        "basis": basis,
        "sorted_by": sort_by,
        "animal": animals[0] if len(animals) == 1 else None,
        "animals": animals,
        "foods": rows,
        "words": words(foods),
        "notes": notes,
    }


def has_own_energy(foods: Iterable[Food]) -> bool:
    """Whether every label has an energy of its own."""
    return all(food.statement.facts.kcal_per_kg for food in foods)


#: What energy the figures go by, by whether every label has its own.
ENERGY = {
    True: "Energy is the labels' own throughout.",
    False: "Energy is computed throughout, by the equation of the market: not every label has it.",
}


def _row(
    food: Food, basis: str, needs: Mapping[str, DailyNeed], own: bool, likely: dict[str, LikelyPart]
) -> ComparedFood:
    statement = food.statement
    kcal = statement.facts.kcal_per_kg if own else statement.kcal_per_kg
    need = needs.get(statement.facts.species or "") or (needs.get(ANY) if needs else None)
    grams = 1000 * need.kcal / kcal if kcal and need else None
    return to_data(
        ComparedFood,
        food,
        PLACES,
        species=statement.facts.species,
        form=statement.facts.form.id,
        values=values_on(statement, basis, kcal),
        energy_shares=statement.energy and statement.energy.shares._asdict(),
        kcal_per_kg=kcal,
        energy_from=None if kcal is None else "label" if own else "computed",
        cost_per_1000_kcal=food.cost_of(1e6 / kcal) if kcal else None,
        grams_per_day=grams,
        cost_per_day=None if grams is None else food.cost_of(grams),
        likely=likely,
        target=target_of(statement, likely.get("carbohydrate")),
        assumed=statement.assumed,
        not_computed=[f"{refused.what}: {refused.because}" for refused in statement.refused],
    )


def _figure(row: ComparedFood, sort_by: str) -> float | None:
    """Returns what a food is sorted by; None for its name and where it is not known."""
    if sort_by == "name":
        return None
    if sort_by == "cost":
        return row["cost_per_1000_kcal"]
    return row["kcal_per_kg"] if sort_by == "energy" else row["values"][sort_by]


def _key(row: ComparedFood, sort_by: str) -> tuple[int, bool, float, str, str]:
    value = _figure(row, sort_by)
    sign = 1 if sort_by == "cost" else -1
    species = _SPECIES.index(row["species"]) if row["species"] in _SPECIES else len(_SPECIES)
    return (species, value is None, sign * (value or 0.0), row["name"], row["path"])


def words(foods: Sequence[Food]) -> list[str]:
    """Why a smaller printed number can be the larger one: a sentence for each part where the
    order of two foods turns round when their water is taken out.

    Foods are paired that are for one animal and alike complete or not. The pair with the widest
    gap of moisture is told, the earlier one where several are alike.
    """
    return sentences("compare", turned=list(filter(None, (_turned(foods, p) for p in _TOLD_PARTS))))


def _turned(foods: Sequence[Food], part: str) -> Mapping[str, object] | None:
    """Returns the pair of which a sentence tells, its figures as fed, then without the water."""
    told_of = [
        ((food.statement.facts.species, food.statement.facts.complete), food.name, figures)
        for food in foods
        if (figures := _figures(food, part))
    ]
    pairs = [
        (wet[2] - dry[2], {"part": part, "names": (name, other), "wet": wet, "dry": dry})
        for (kind, name, wet), (kind_too, other, dry) in permutations(told_of, 2)
        if kind == kind_too and wet[0] < dry[0] and wet[1] > dry[1]
    ]
    return max(pairs, key=lambda pair: pair[0], default=(0.0, None))[1]


def _figures(food: Food, part: str) -> tuple[float, float, float] | None:
    """A part as fed and in the dry matter, and the moisture; None where one is unknown."""
    fed = food.statement.analysis.as_dict()
    printed, dry, moisture = fed[part], food.statement.dry_matter[part], fed["moisture"]
    if printed is None or dry is None or moisture is None:
        return None
    return printed, dry, moisture
