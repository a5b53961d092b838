"""What changed in the figures: guarantees, additives, energy."""

from __future__ import annotations

from collections.abc import Iterator

from panellint.core.numbers import number
from panellint.core.text import fold_name
from panellint.label.model import Guarantee, Label
from panellint.tasks.changes.pairing import LabelChange, come_and_gone, paired

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
    yield from come_and_gone(
        "guarantees",
        come,
        gone,
        lambda one: one.printed,
        lambda one, new: (
            f"{one.printed} is guaranteed "
            + (f"now: {_amount(one)}." if new else f"no longer; it was {_amount(one)}.")
        ),
    )


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
    yield from come_and_gone(
        "additives",
        come,
        gone,
        lambda one: one.printed,
        lambda one, new: (
            f"{one.printed} is {'an additive now' if new else 'no additive any more'}."
        ),
    )


def energy(old: Label, new: Label) -> Iterator[LabelChange]:
    """The calorie line, figure by figure."""
    before, after = old.energy, new.energy
    if before is None or after is None:
        yield from come_and_gone(
            "energy",
            filter(None, [after]),
            filter(None, [before]),
            lambda _: "energy",
            lambda _, new: (
                f"{'A' if new else 'The'} calorie line {'appeared' if new else 'is gone'}."
            ),
        )
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
    yield from come_and_gone(
        "energy",
        come,
        gone,
        lambda one: one.per,
        lambda one, new: (
            f"The energy per {one.per} is given "
            + (
                f"now: {number(one.value)} {one.unit}."
                if new
                else f"no longer; it was {number(one.value)} {one.unit}."
            )
        ),
    )
    if before.method != after.method:
        now, was = (one.method or "given without a method" for one in (after, before))
        says = f"The energy is {now}; before it was {was}."
        yield LabelChange("energy", "method", "method", says, before.span, after.span)
