"""All that is waived or switched off, for people."""

from collections.abc import Iterator

from panellint.core.phrases import counted, listed
from panellint.output.document import Block, Heading, Paragraph, table
from panellint.results.findings import Waived


def view(data: Waived) -> Iterator[Block]:
    """Yields the waivers of labels, then what settings, baselines and ignore patterns take away."""
    yield Heading(2, f"{counted(len(data['waivers']), 'waiver')} in labels")
    if data["waivers"]:
        rows = [
            (f"{waiver['label']}:{waiver['line']}", waiver["rule"], waiver["until"] or "no date",
             waiver["state"].replace("-", " "), str(len(waiver["findings"])), waiver["reason"])
            for waiver in data["waivers"]
        ]  # fmt: skip
        yield table(("label", "rule", "until", "state", "findings", "reason"), rows, [4])
    if data["changes"]:
        yield Heading(2, "Changed in settings")
        rows_of_changes = [
            (change["settings"], change["rule"], change["change"]) for change in data["changes"]
        ]
        yield table(("settings", "rule", "change"), rows_of_changes)
    if data["known"]:
        yield Heading(2, f"{counted(len(data['known']), 'known finding')} of baselines")
        rows_of_known = [(known["label"], known["rule"], known["text"]) for known in data["known"]]
        yield table(("label", "rule", "marked"), rows_of_known)
    for words in data["left_out"]:
        yield Paragraph(f"left out: {words}")
    if data["locked"]:
        yield Paragraph(f"Locked: {listed(data['locked'])}.")
