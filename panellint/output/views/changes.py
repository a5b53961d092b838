"""What a new version of a label changed, for people."""

from collections.abc import Iterator

from panellint.output.document import (
    Block,
    Heading,
    Paragraph,
    Table,
    figure,
    headed,
    likely_words,
    table,
)
from panellint.results.changes import LabelChanges
from panellint.results.findings import FindingData
from panellint.results.shares import ShareData, Shares

_HEADINGS = {
    "name": "Name",
    "facts": "What it is",
    "ingredients": "Ingredients",
    "likely": "What is likely",
    "guarantees": "Guarantees",
    "additives": "Additives",
    "energy": "Energy",
    "statements": "Statements and claims",
    "cost": "Pack and price",
    "other": "Other parts",
}


def view(data: LabelChanges) -> Iterator[Block]:
    """Yields the changes part by part, then the findings that came and went."""
    yield Heading(1, f"{data['old']} -> {data['new']}")
    parts = [
        (heading, [change["says"] for change in data["changes"] if change["part"] == part])
        for part, heading in _HEADINGS.items()
    ]
    findings = data["findings"]
    parts += [
        ("New findings", list(map(_finding, findings["new"]))),
        ("Findings that are gone", list(map(_finding, findings["gone"]))),
    ]
    for heading, lines in parts:
        yield from headed(heading, lines)
    if not any(lines for _, lines in parts):
        yield Paragraph("Nothing changed that a reader of the label would see.", indent=0)


def shares_table(old: Shares, new: Shares) -> Table:
    """Returns the share of each ingredient in either version, percent of the mix: from the least to
    the most that is proven, and likely."""
    before, now = ({share["name"]: share for share in data["ingredients"]} for data in (old, new))
    rows = [(name, _share(before.get(name)), _share(now.get(name))) for name in {**now, **before}]
    return table(("Share of the mix, percent", "before", "now"), rows, ())


def _share(share: ShareData | None) -> str:
    if share is None:
        return "-"
    likely = f", likely {likely_words(share['likely'])}" if share["likely"] else ""
    return f"{figure(share['low'])} to {figure(share['high'])}{likely}"


def _finding(finding: FindingData) -> str:
    place = f"line {finding['start']['line']}: {finding['severity']}"
    return f"{place}: {finding['message']} [{finding['rule']}]"
