"""What the linter understood of a label, as plain data."""

from __future__ import annotations

from math import isfinite
from typing import TYPE_CHECKING, Any

from panellint.analysis.context import LabelContext
from panellint.analysis.overview import glance
from panellint.core.source import Source, Span
from panellint.core.text import one_line
from panellint.ingredients.model import Ingredient
from panellint.label.claims import Claim
from panellint.label.evidence import part_name
from panellint.label.model import Guarantee
from panellint.rulepacks.data import data

if TYPE_CHECKING:
    from panellint.results.outline import (
        AdequacyData,
        AdequacyStatement,
        ClaimData,
        EnergyLine,
        GuaranteeData,
        IngredientData,
        Outline,
    )


def outline(context: LabelContext) -> Outline:
    """Returns the declaration's tree, guarantees, name, statements, energy and sections."""
    label, source = context.label, context.source
    return {
        "path": source.path,
        "market": context.market,
        "edition": context.edition,
        "species": context.species,
        "animals": list(context.animals),
        "stages": list(context.stages),
        "form": {"id": context.form.id, "how": context.form.how, "word": context.form.word},
        "uses": list(context.uses),
        "declaration": [_ingredient(source, entry) for entry in context.declaration.ingredients],
        "footnotes": [{"mark": note.mark, "text": note.text} for note in label.footnotes],
        "guarantees": [_guarantee(source, guarantee) for guarantee in label.guarantees],
        "additives": [
            {
                "name": additive.printed,
                "number": additive.number,
                "value": _number(additive.value),
                "unit": additive.unit,
                "group": additive.group,
                **source.place(additive.span),
            }
            for additive in label.additives
        ],
        "name": {
            "text": label.product_name,
            "promises": [
                {
                    "id": promise.id,
                    "tier": promise.tier,
                    "text": promise.text,
                    "named": [named.name for named in promise.named],
                    "percent": _number(promise.percent),
                    **source.place(promise.span),
                }
                for promise in context.promises
            ],
        },
        "glance": glance(context),
        "adequacy": _adequacy(context),
        "energy": _energy(context),
        "claims": [_claim(source, claim) for claim in context.claims],
        "sections": [
            {
                "kind": section.kind,
                "heading": source.slice(section.heading),
                **source.place(Span(section.heading.start, section.body.end)),
            }
            for section in label.sections
        ],
        "unread": [
            {
                "text": one_line(source.slice(one.span)),
                "section": one.section,
                "maybe": [part_name(part) for part in one.maybe],
                **source.place(one.span),
            }
            for one in label.ledger.unread
        ],
        "ledger": [
            {
                "fate": one.fate.value,
                "kind": one.kind,
                "section": one.section,
                "text": one_line(source.slice(one.span)),
                **source.place(one.span),
            }
            for one in label.ledger.stretches
        ],
    }


def _number(value: Any) -> float | None:
    """A figure as JSON can hold it; None for one beyond all bounds."""
    number = None if value is None else float(value)
    return number if number is not None and isfinite(number) else None


def _ingredient(source: Source, entry: Ingredient) -> IngredientData:
    known = entry.match.known if entry.match else None
    percent = entry.percent
    return {
        "name": entry.name,
        "known_as": entry.known_as,
        "kind": known.kind if known else None,
        "origin": known.origin if known else None,
        "qualifiers": list(entry.match.qualifiers) if entry.match else [],
        "percent": _number(percent.value) if percent else None,
        "percent_bound": percent.bound.value if percent else None,
        "percent_of": percent.of.value if percent else None,
        "partial": entry.partial,
        "at_most": _number(entry.at_most),
        "marks": [mark.text for mark in entry.marks],
        "notes": list(entry.notes),
        "any_of": entry.any_of,
        "component": entry.component,
        **source.place(entry.name_span),
        "members": [_ingredient(source, member) for member in entry.members],
    }


def _guarantee(source: Source, guarantee: Guarantee) -> GuaranteeData:
    return {
        "nutrient": guarantee.nutrient or guarantee.printed,
        "known": guarantee.nutrient is not None,
        "printed": guarantee.printed,
        "bound": guarantee.bound.value,
        "value": _number(guarantee.value),
        "unit": guarantee.unit,
        "basis": guarantee.basis,
        **source.place(guarantee.span),
    }


def _claim(source: Source, claim: Claim) -> ClaimData:
    classes: list[dict[str, Any]] = data("words/claims")["classes"]
    kind = next((one for one in classes if one["class"] == claim.kind), {})
    return {
        "text": claim.words,
        "kind": claim.kind or None,
        "owes": kind.get("owes"),
        "rules": list(kind.get("rules", ())),
        **source.place(claim.span),
    }


def _adequacy(context: LabelContext) -> AdequacyData:
    source = context.source
    statements: list[AdequacyStatement] = [
        {
            "route": statement.route,
            "species": statement.species,
            "stages": list(statement.stages),
            "large_size": statement.large_size,
            **source.place(statement.span),
        }
        for statement in context.label.adequacy
    ]
    return {**statements[0], "statements": statements} if statements else {}


def _energy(context: LabelContext) -> EnergyLine:
    line, source = context.label.energy, context.source
    if line is None:
        return {}
    return {
        "method": line.method,
        "figures": [
            {
                "value": _number(figure.value),
                "unit": figure.unit,
                "per": figure.per,
                "grams": _number(figure.grams),
            }
            for figure in line.figures
        ],
        **source.place(line.span),
    }
