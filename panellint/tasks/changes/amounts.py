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
        lambda one: (one.nutrient or fold_name(one.printed), one.bound, one.basis, one.unit),
        lambda one: one.nutrient or fold_name(one.printed),
    )
    for one, other in pairs:
        if (one.bound, one.unit, one.basis, one.value) == (
            other.bound, other.unit, other.basis, other.value,
        ):  # fmt: skip
            continue
        same = (one.bound, one.unit, one.basis) == (other.bound, other.unit, other.basis)
        kind = ("rose" if other.value > one.value else "fell") if same else "changed"
        verb = f"{kind} from {_amount(one)} to" if same else f"was {_amount(one)} and is now"
        says = f"{other.printed} {verb} {_amount(other)}."
        yield LabelChange("guarantees", kind, other.printed, says, one.span, other.span)
    for one in come:
        says = f"{one.printed} is guaranteed now: {_amount(one)}."
        yield LabelChange("guarantees", "new", one.printed, says, None, one.span)
    for one in gone:
        says = f"{one.printed} is guaranteed no longer; it was {_amount(one)}."
        yield LabelChange("guarantees", "gone", one.printed, says, one.span)


def _amount(one: Guarantee) -> str:
    bound = f" ({_BOUNDS[one.bound]})" if one.bound in _BOUNDS else ""
    basis = "" if one.basis == "as fed" else f" on {one.basis}"
    return f"{number(one.value)} {one.unit}{basis}{bound}"


def additives(old: Label, new: Label) -> Iterator[LabelChange]:
    """Additives of the EU heading, by name, then by number."""
    pairs, gone, come = paired(
        old.additives, new.additives, lambda one: fold_name(one.printed), lambda one: one.number
    )
    for one, other in pairs:
        if one.value is None or other.value is None or (one.unit, one.value) == (
            other.unit, other.value,
        ):  # fmt: skip
            continue
        kind = (
            "changed" if one.unit != other.unit else "rose" if other.value > one.value else "fell"
        )
        says = (
            f"{other.printed} is {number(other.value)} {other.unit} "
            f"and was {number(one.value)} {one.unit}."
        )
        yield LabelChange("additives", kind, other.printed, says, one.span, other.span)
    for one in come:
        says = f"{one.printed} is an additive now."
        yield LabelChange("additives", "new", one.printed, says, None, one.span)
    for one in gone:
        says = f"{one.printed} is no additive any more."
        yield LabelChange("additives", "gone", one.printed, says, one.span)


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
    pairs, gone, come = paired(before.figures, after.figures, lambda one: (one.unit, one.per))
    for one, other in pairs:
        if one.value != other.value:
            kind = "rose" if other.value > one.value else "fell"
            says = (
                f"The energy per {other.per} {kind} from {number(one.value)} "
                f"to {number(other.value)} {other.unit}."
            )
            yield LabelChange("energy", kind, other.per, says, one.span, other.span)
        elif one.grams != other.grams:
            now, was = (f"{number(f.grams)} g" if f.grams else "no weight" for f in (other, one))
            says = f"One {other.per} has {now}; it had {was}."
            yield LabelChange("energy", "weight", other.per, says, one.span, other.span)
    for one in come:
        says = f"The energy per {one.per} is given now: {number(one.value)} {one.unit}."
        yield LabelChange("energy", "new", one.per, says, None, one.span)
    for one in gone:
        says = (
            f"The energy per {one.per} is given no longer; it was {number(one.value)} {one.unit}."
        )
        yield LabelChange("energy", "gone", one.per, says, one.span)
    if before.method != after.method:
        now, was = (one.method or "given without a method" for one in (after, before))
        says = f"The energy is {now}; before it was {was}."
        yield LabelChange("energy", "method", "method", says, before.span, after.span)
