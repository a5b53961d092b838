"""What the linter understood of a label, as plain data."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from panellint.analysis.foods import foods_in_text
from panellint.analysis.overview import glance
from panellint.core.records import to_data
from panellint.core.source import Source, Span
from panellint.core.text import one_line
from panellint.label.evidence import part_name
from panellint.results import outline as shapes
from panellint.rulepacks.data import data

if TYPE_CHECKING:
    from panellint.analysis.context import LabelContext
    from panellint.ingredients.model import Ingredient
    from panellint.label.claims import Claim


def outline(context: LabelContext) -> shapes.Outline:
    """Returns the declaration's tree, guarantees, name, statements, energy and sections."""
    label, source = context.label, context.source
    statements = [
        to_data(shapes.AdequacyStatement, adequacy, None, source) for adequacy in label.adequacy
    ]
    amounts = {
        kind: [to_data(shapes.AdditiveData, a, None, source, name=a.printed) for a in printed]
        for kind, printed in (("additives", label.additives), ("actives", label.actives))
    }
    return to_data(
        shapes.Outline,
        context,
        path=source.path,
        foods_in_text=foods_in_text(context),
        declaration=[_ingredient(source, entry) for entry in context.declaration.ingredients],
        footnotes=label.footnotes,
        guarantees=[
            to_data(
                shapes.GuaranteeData,
                guarantee,
                None,
                source,
                nutrient=guarantee.nutrient or guarantee.printed,
                known=guarantee.nutrient is not None,
            )
            for guarantee in label.guarantees
        ],
        **amounts,
        name={
            "text": label.product_name,
            "promises": [
                to_data(
                    shapes.PromiseData,
                    promise,
                    None,
                    source,
                    named=[named.name for named in promise.named],
                )
                for promise in context.promises
            ],
        },
        glance=glance(context),
        adequacy={**statements[0], "statements": statements} if statements else {},
        energy=to_data(shapes.EnergyLine, label.energy, None, source) if label.energy else {},
        claims=[_claim(source, claim) for claim in context.claims],
        sections=[
            {
                "kind": section.kind,
                "heading": source.slice(section.heading),
                **source.place(Span(section.heading.start, section.body.end)),
            }
            for section in label.sections
        ],
        unread=[
            to_data(
                shapes.UnreadData,
                stretch,
                None,
                source,
                text=one_line(source.slice(stretch.span)),
                maybe=map(part_name, stretch.maybe),
            )
            for stretch in label.ledger.unread
        ],
        ledger=[
            to_data(
                shapes.StretchData, stretch, None, source, text=one_line(source.slice(stretch.span))
            )
            for stretch in label.ledger.stretches
        ],
    )


def _ingredient(source: Source, entry: Ingredient) -> shapes.IngredientData:
    known = entry.match.known if entry.match else None
    percent = entry.percent
    return to_data(
        shapes.IngredientData,
        entry,
        kind=known and known.kind,
        origin=known and known.origin,
        qualifiers=entry.match.qualifiers if entry.match else (),
        percent=percent and percent.value,
        percent_bound=percent and percent.bound,
        percent_of=percent and percent.of,
        marks=[mark.text for mark in entry.marks],
        members=[_ingredient(source, member) for member in entry.members],
        **source.place(entry.name_span),
    )


def _claim(source: Source, claim: Claim) -> shapes.ClaimData:
    classes: list[dict[str, Any]] = data("words/claims")["classes"]
    kind = next((row for row in classes if row["class"] == claim.kind), {})
    return to_data(
        shapes.ClaimData,
        claim,
        None,
        source,
        text=claim.words,
        owes=kind.get("owes"),
        rules=kind.get("rules", ()),
    )
