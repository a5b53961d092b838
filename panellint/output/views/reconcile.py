"""What a batch comes to beside what its label says, for people."""

from collections.abc import Iterator, Sequence
from itertools import chain

from panellint.core.numbers import number
from panellint.core.phrases import capital, listed
from panellint.output.document import Block, Heading, Paragraph, table
from panellint.output.views.balance import sentence
from panellint.results import batch as shapes

_FEW = 5


def view(data: shapes.BatchData) -> Iterator[Block]:
    """Yields what stands before the findings: analysis, guarantees and adequacy."""
    if data["sheet"]["water"] is None:
        yield Paragraph(
            "What the finished food holds is not known. State the finished moisture or the yield "
            "above the table of the sheet (Finished moisture: 8 %), or print a moisture on the "
            "label."
        )
        return
    yield Heading(2, "By the batch")
    yield from _analysis(data)
    if data["guarantees"]:
        headings = ("nutrient", "label", "estimate", "by the tables", "tolerance", "margin", "")
        yield Heading(2, "Guarantees")
        yield table(headings, list(map(_guarantee, data["guarantees"])), range(1, 6))
    if data["adequacy"]:
        yield from _adequacy(data["adequacy"])


def _analysis(data: shapes.BatchData) -> Iterator[Block]:
    analysis = data["analysis"]
    finished, rehydrated = analysis["finished_food"], analysis.get("rehydrated")
    rows = []
    for part, fed in finished.items():
        row = [part, _figure(fed["estimate"]), _range(fed["low"], fed["high"])]
        for basis in (analysis["dry_matter"], analysis["per_1000_kcal"]):
            row.append(_figure(basis[part]["estimate"]) if part in basis else "")
        if rehydrated:
            row.append(_figure(rehydrated[part]["estimate"]))
        rows.append(row)
    headings = ["", "% as fed", "by the tables", "% dry matter", "g/1000 kcal"]
    yield table(headings + ["% rehydrated"] * bool(rehydrated), rows)
    yield Paragraph(f"Finished food: {data['sheet']['water']}.")
    yield Paragraph(f"{capital(sentence(data['sheet']['balance']))}.")
    energy = analysis.get("energy")
    if energy and energy["estimate"] is not None and energy["low"] is not None:
        high = "any" if energy["high"] is None else number(round(energy["high"]))
        yield Paragraph(
            f"Energy about {number(round(energy['estimate']))} kcal/kg as fed "
            f"({energy['method'].replace('-', ' ')}), by the tables "
            f"{number(round(energy['low']))} to {high}."
        )
    if data["unknown"]:
        yield Paragraph(
            f"Nothing is known of {listed(data['unknown'])}: anything is possible there."
        )


def _range(low: float | None, high: float | None) -> str:
    least, most = _figure(low, "0"), _figure(high, "any")
    return least if low == high else f"{least} to {most}"


def _figure(value: float | None, unknown: str = "unknown") -> str:
    return unknown if value is None else number(round(value, 2), 4)


def _guarantee(guarantee: shapes.ComparedGuarantee) -> tuple[str, ...]:
    content = guarantee["computed"]
    tolerance = (("-", guarantee["tolerance"]["below"]), ("+", guarantee["tolerance"]["above"]))
    sides = [f"{sign}{number(round(width, 2))}" for sign, width in tolerance if width is not None]
    known = not content["unknown"] or content["high"] is not None
    bound = {"min": "min ", "max": "max "}.get(guarantee["bound"], "")
    return (
        guarantee["nutrient"] or guarantee["printed"],
        f"{bound}{number(guarantee['value'])} {guarantee['unit']}",
        _figure(content["estimate"]) if known else "unknown",
        _range(content["low"], content["high"]),
        " ".join(sides) or "none known",
        "" if guarantee["margin"] is None else f"{guarantee['margin']:+.2f}",
        guarantee["verdict"],
    )


def _adequacy(adequacy: shapes.BatchAdequacy) -> Iterator[Block]:
    limits = adequacy["limits"]
    judged = [limit for limit in limits if limit["verdict"] != "unknown"]
    yield Heading(2, f"{adequacy['profile']}, {adequacy['stage']}")
    headings = ("nutrient", "limit", "estimate", "by the tables", "")
    yield table(headings, list(map(_limit, judged)), range(1, 4))
    if unjudged := [limit for limit in limits if limit["verdict"] == "unknown"]:
        ids = {judgement["nutrient"] for judgement in judged}
        names = dict.fromkeys(
            limit["nutrient"].replace("-", " ")
            + (f" (the {limit['side']})" if limit["nutrient"] in ids else "")
            for limit in unjudged
        )
        without = list(dict.fromkeys(chain.from_iterable(limit["unknown"] for limit in unjudged)))
        yield Paragraph(
            f"Not judged, for want of figures: {listed(names)}. "
            f"Without a figure for some of these: {_some(without)}."
        )


def _limit(limit: shapes.ProfileLimit) -> tuple[str, ...]:
    side = "min" if limit["side"] == "minimum" else "max"
    return (
        limit["nutrient"].replace("-", " "),
        f"{side} {number(limit['limit'])} {limit['unit']}",
        "" if limit["unknown"] else _figure(limit["estimate"]),
        _range(limit["low"], limit["high"]),
        limit["verdict"],
    )


def _some(names: Sequence[str]) -> str:
    if len(names) <= _FEW:
        return listed(names)
    return f"{', '.join(names[:_FEW])} and {len(names) - _FEW} more"
