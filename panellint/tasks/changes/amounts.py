"""What changed in the figures: guarantees, additives, energy."""

from __future__ import annotations

from collections.abc import Iterator

from panellint.core.numbers import number
from panellint.core.text import fold_name
from panellint.label.model import Guarantee, Label
from panellint.tasks.changes.pairing import LabelChange, paired

_BOUNDS = {"min": "minimum", "max": "maximum"}


def guarantees(old: Label, new: Label) -> Iterator[LabelChange]:
    """Guarantees and constituents that rose, fell, came or went."""
    pairs, gone, come = paired(
        old.guarantees,
        new.guarantees,
        lambda line: (line.nutrient or fold_name(line.printed), line.bound, line.basis, line.unit),
        lambda line: line.nutrient or fold_name(line.printed),
    )
    for guarantee, other in pairs:
        if (guarantee.bound, guarantee.unit, guarantee.basis, guarantee.value) == (
            other.bound, other.unit, other.basis, other.value,
        ):  # fmt: skip
            continue
        same = (guarantee.bound, guarantee.unit, guarantee.basis) == (
            other.bound,
            other.unit,
            other.basis,
        )
        kind = ("rose" if other.value > guarantee.value else "fell") if same else "changed"
        verb = (
            f"{kind} from {_amount(guarantee)} to"
            if same
            else f"was {_amount(guarantee)} and is now"
        )
        says = f"{other.printed} {verb} {_amount(other)}."
        yield LabelChange("guarantees", kind, other.printed, says, guarantee.span, other.span)
    for guarantee in come:
        says = f"{guarantee.printed} is guaranteed now: {_amount(guarantee)}."
        yield LabelChange("guarantees", "new", guarantee.printed, says, None, guarantee.span)
    for guarantee in gone:
        says = f"{guarantee.printed} is guaranteed no longer; it was {_amount(guarantee)}."
        yield LabelChange("guarantees", "gone", guarantee.printed, says, guarantee.span)


def _amount(guarantee: Guarantee) -> str:
    bound = f" ({_BOUNDS[guarantee.bound]})" if guarantee.bound in _BOUNDS else ""
    basis = "" if guarantee.basis == "as fed" else f" on {guarantee.basis}"
    return f"{number(guarantee.value)} {guarantee.unit}{basis}{bound}"


def additives(old: Label, new: Label) -> Iterator[LabelChange]:
    """Additives of the EU heading, by name, then by number."""
    pairs, gone, come = paired(
        old.additives,
        new.additives,
        lambda additive_amount: fold_name(additive_amount.printed),
        lambda additive_amount: additive_amount.number,
    )
    for amount, other in pairs:
        if amount.value is None or other.value is None or (amount.unit, amount.value) == (
            other.unit, other.value,
        ):  # fmt: skip
            continue
        kind = (
            "changed"
            if amount.unit != other.unit
            else "rose"
            if other.value > amount.value
            else "fell"
        )
        says = (
            f"{other.printed} is {number(other.value)} {other.unit} "
            f"and was {number(amount.value)} {amount.unit}."
        )
        yield LabelChange("additives", kind, other.printed, says, amount.span, other.span)
    for amount in come:
        says = f"{amount.printed} is an additive now."
        yield LabelChange("additives", "new", amount.printed, says, None, amount.span)
    for amount in gone:
        says = f"{amount.printed} is no additive any more."
        yield LabelChange("additives", "gone", amount.printed, says, amount.span)


def energy(old: Label, new: Label) -> Iterator[LabelChange]:
    """The calorie line, figure by figure."""
    before, after = old.energy, new.energy
    if before is None or after is None:
        if after is not None:
            yield LabelChange(
                "energy", "new", "energy", "A calorie line appeared.", None, after.span
            )
        if before is not None:
            yield LabelChange("energy", "gone", "energy", "The calorie line is gone.", before.span)
        return
    pairs, gone, come = paired(
        before.figures, after.figures, lambda energy_figure: (energy_figure.unit, energy_figure.per)
    )
    for figure, other in pairs:
        if figure.value != other.value:
            kind = "rose" if other.value > figure.value else "fell"
            says = (
                f"The energy per {other.per} {kind} from {number(figure.value)} "
                f"to {number(other.value)} {other.unit}."
            )
            yield LabelChange("energy", kind, other.per, says, figure.span, other.span)
        elif figure.grams != other.grams:
            now, was = (f"{number(f.grams)} g" if f.grams else "no weight" for f in (other, figure))
            says = f"One {other.per} has {now}; it had {was}."
            yield LabelChange("energy", "weight", other.per, says, figure.span, other.span)
    for figure in come:
        says = f"The energy per {figure.per} is given now: {number(figure.value)} {figure.unit}."
        yield LabelChange("energy", "new", figure.per, says, None, figure.span)
    for figure in gone:
        was = f"{number(figure.value)} {figure.unit}"
        says = f"The energy per {figure.per} is given no longer; it was {was}."
        yield LabelChange("energy", "gone", figure.per, says, figure.span)
    if before.method != after.method:
        now, was = (line.method or "given without a method" for line in (after, before))
        says = f"The energy is {now}; before it was {was}."
        yield LabelChange("energy", "method", "method", says, before.span, after.span)
