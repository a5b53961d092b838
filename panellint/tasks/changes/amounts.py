"""What changed in the figures: guarantees, additives, energy."""

from collections.abc import Iterator

from panellint.core.numbers import number
from panellint.core.text import fold_name
from panellint.label.model import EnergyFigure, Guarantee, Label
from panellint.tasks.changes.pairing import LabelChange, come_and_gone, paired, way

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
        if len({(g.bound, g.unit, g.basis, g.value) for g in (guarantee, other)}) == 1:
            continue
        one_scale = len({(g.bound, g.unit, g.basis) for g in (guarantee, other)}) == 1
        kind = way(guarantee.value, other.value) if one_scale else "changed"
        was, now = _amount(guarantee), _amount(other)
        verb = f"{kind} from {was} to" if one_scale else f"was {was} and is now"
        says = f"{other.printed} {verb} {now}."
        yield LabelChange("guarantees", kind, other.printed, says, guarantee.span, other.span)
    yield from come_and_gone(
        "guarantees",
        ((g.printed, f"{g.printed} is guaranteed now: {_amount(g)}.", g.span) for g in come),
        (
            (g.printed, f"{g.printed} is guaranteed no longer; it was {_amount(g)}.", g.span)
            for g in gone
        ),
    )


def _amount(guarantee: Guarantee) -> str:
    bound = f" ({_BOUNDS[guarantee.bound]})" if guarantee.bound in _BOUNDS else ""
    basis = "" if guarantee.basis == "as fed" else f" on {guarantee.basis}"
    return f"{number(guarantee.value)} {guarantee.unit}{basis}{bound}"


def _energy(figure: EnergyFigure) -> str:
    return f"{number(figure.value)} {figure.unit}"


def additives(old: Label, new: Label) -> Iterator[LabelChange]:
    """Additives of the EU heading and active ingredients, by name, then by number."""
    pairs, gone, come = paired(
        (*old.additives, *old.actives),
        (*new.additives, *new.actives),
        lambda additive_amount: fold_name(additive_amount.printed),
        lambda additive_amount: additive_amount.number,
    )
    thing = "active ingredient" if old.actives or new.actives else "additive"
    for amount, other in pairs:
        if amount.value is None or other.value is None:
            continue
        if (amount.unit, amount.value) == (other.unit, other.value):
            continue
        kind = "changed" if amount.unit != other.unit else way(amount.value, other.value)
        says = (
            f"{other.printed} is {number(other.value)} {other.unit} "
            f"and was {number(amount.value)} {amount.unit}."
        )
        yield LabelChange("additives", kind, other.printed, says, amount.span, other.span)
    yield from come_and_gone(
        "additives",
        ((a.printed, f"{a.printed} is an {thing} now.", a.span) for a in come),
        ((a.printed, f"{a.printed} is no {thing} any more.", a.span) for a in gone),
    )


def energy(old: Label, new: Label) -> Iterator[LabelChange]:
    """The calorie line, figure by figure."""
    before, after = old.energy, new.energy
    if before is None or after is None:
        come_lines = [("energy", "A calorie line appeared.", after.span)] if after else []
        gone_lines = [("energy", "The calorie line is gone.", before.span)] if before else []
        yield from come_and_gone("energy", come_lines, gone_lines)
        return
    pairs, gone, come = paired(
        before.figures, after.figures, lambda energy_figure: (energy_figure.unit, energy_figure.per)
    )
    for figure, other in pairs:
        if figure.value != other.value:
            kind = way(figure.value, other.value)
            ends = f"from {number(figure.value)} to {_energy(other)}"
            says = f"The energy per {other.per} {kind} {ends}."
            yield LabelChange("energy", kind, other.per, says, figure.span, other.span)
        elif figure.grams != other.grams:
            now, was = (f"{number(f.grams)} g" if f.grams else "no weight" for f in (other, figure))
            says = f"One {other.per} has {now}; it had {was}."
            yield LabelChange("energy", "weight", other.per, says, figure.span, other.span)
    yield from come_and_gone(
        "energy",
        ((f.per, f"The energy per {f.per} is given now: {_energy(f)}.", f.span) for f in come),
        (
            (f.per, f"The energy per {f.per} is given no longer; it was {_energy(f)}.", f.span)
            for f in gone
        ),
    )
    if before.method != after.method:
        now, was = (line.method or "given without a method" for line in (after, before))
        says = f"The energy is {now}; before it was {was}."
        yield LabelChange("energy", "method", "method", says, before.span, after.span)
