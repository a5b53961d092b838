"""What the market asks of labels, as the sheet that a reviewer works through, or as a letter."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from typing import Any

from panellint.core.findings import State
from panellint.core.phrases import counted
from panellint.output.document import Block, Heading, Paragraph, caution, headed, table
from panellint.results.findings import FindingData
from panellint.results.requirements import RequirementData, RequirementSheet
from panellint.rulepacks.data import data
from panellint.rulepacks.requirements import WORDING
from panellint.rulepacks.settings import market_title, the_market

#: States that have to be put right.
TO_CORRECT = (State.DEPARTS, State.MISSING)


def view(sheets: Sequence[RequirementSheet]) -> Iterator[Block]:
    """Yields the sheet of each label: what has to be put right, then every requirement."""
    yield Heading(1, "What is asked of a label" if len(sheets) > 1 else _title(sheets[0]))
    for number, sheet in enumerate(sheets, start=1):
        if len(sheets) > 1:
            yield Heading(2, _title(sheet), f"label-{number}")
        note = _wording(sheet)["words"]["note"]
        yield Paragraph(f"{_read_as(sheet)}. {_counted(sheet)}. {note}".strip(), "usual")
        yield from _enacted(sheet)
        yield from _to_do(sheet)
        yield from _all(sheet, len(sheets) > 1)
    yield from caution(*_wording(sheets[0])["words"]["caution"])


def _title(sheet: RequirementSheet) -> str:
    return f"{sheet['name']} ({sheet['path']})" if sheet["name"] else sheet["path"]


def _read_as(sheet: RequirementSheet) -> str:
    words = _wording(sheet)
    market = words["markets"].get(sheet["market"]) or market_title(sheet["market"])
    edition = "" if sheet["edition"] == "current" else f", {sheet['edition']} edition"
    several = any(row["id"] == "species" and row["text"] for row in sheet["requirements"])
    animal = words["animals"][sheet["species"] or ("several" if several else "none")]
    return f"{market}{edition}, {animal}"


def _enacted(sheet: RequirementSheet) -> Iterator[Block]:
    state = sheet["state"]
    if state:
        yield Paragraph(f"{state['title']}: {state['adopted']} {state['unknown']}", indent=0)


def _counted(sheet: RequirementSheet) -> str:
    wording, count = _wording(sheet), sheet["summary"]
    parts = [
        f"{count[state]} {words}" for state, words in wording["states"].items() if count[state]
    ]
    number = len(sheet["requirements"])
    return str(wording["words"]["counted"].format(number=number, parts=", ".join(parts)))


def _wording(sheet: RequirementSheet) -> Any:
    """Returns the states (in the order in which a reviewer wants them) and other words."""
    return data(f"{WORDING}/{sheet['language']}")


def _to_do(sheet: RequirementSheet) -> Iterator[Block]:
    words = _wording(sheet)["words"]
    for heading, states in (
        (words["to-correct"], TO_CORRECT),
        (words["not-read"], (State.NOT_READ,)),
        (words["open"], (State.OPEN,)),
    ):
        asked = (row for row in sheet["requirements"] if row["state"] in states)
        lines = [line for requirement in asked for line in _lines(requirement, words)]
        yield from headed(heading, lines, 3, items=True)


def _lines(requirement: RequirementData, words: Mapping[str, str]) -> Iterator[str]:
    """Yields what is to be said of a requirement: its findings, else what is asked."""
    for finding in requirement["findings"]:
        place = f"{words['line']} {finding['start']['line']}"
        yield f"{place}: {finding['message']} [{finding['source']}]"
    if not requirement["findings"]:
        why = f" {words['settle']}: {requirement['note']}." if requirement["note"] else ""
        yield f"{requirement['what']}{why} [{requirement['clause']}]"


def _all(sheet: RequirementSheet, several: bool) -> Iterator[Block]:
    parts = dict.fromkeys(requirement["part"] for requirement in sheet["requirements"])
    for number, part in enumerate(parts, start=1):
        yield Heading(3 if several else 2, part, "" if several else f"part-{number}")
        own = [requirement for requirement in sheet["requirements"] if requirement["part"] == part]
        wording = _wording(sheet)
        head = (wording["words"]["state"], wording["words"]["asked"])
        yield table(head, (_row(requirement, wording) for requirement in own), ())


def _row(requirement: RequirementData, wording: Any) -> tuple[str, str]:
    """Returns the state with its line, and what is asked with what stands there."""
    state, line = wording["states"][requirement["state"]], wording["words"]["line"]
    place = f", {line} {requirement['start']['line']}" if requirement["start"] else ""
    text = requirement["text"]
    words = text if len(text) <= 60 else f"{text[:60].rstrip()}..."
    seen = f" “{words}”" if words else f" ({requirement['note']})" if requirement["note"] else ""
    return f"{state}{place}", f"{requirement['what']}{seen} [{requirement['clause']}]"


def letter(sheets: Sequence[RequirementSheet], today: date) -> Iterator[Block]:
    """Yields a letter of deficiencies for each label: what departs or is missing, each with its
    clause, and what the text could not show."""
    for sheet in sheets:
        yield Heading(1, "Review of a label")
        yield Paragraph(f"Date: {today.isoformat()}", indent=0)
        yield Paragraph(f"To: {sheet['maker'] or 'the maker of the product'}", indent=0)
        yield Paragraph(f"Product: {sheet['name'] or sheet['path']}", indent=0)
        yield Paragraph(f"Reviewed as: {_read_as(sheet)}", indent=0)
        yield from _enacted(sheet)
        yield from _body(sheet)
        yield Heading(2, "Reviewed by")
        yield Paragraph("______________________________")


def _body(sheet: RequirementSheet) -> Iterator[Block]:
    wrong = [row for row in sheet["requirements"] if row["state"] in TO_CORRECT]
    if wrong:
        number = counted(len(wrong), "point needs", "points need")
        yield Paragraph(
            f"We have read the text of this label against what {the_market(sheet['market'])} asks. "
            f"{number} correction before the label is used.",
            indent=0,
        )
    else:
        yield Paragraph(
            "We have read the text of this label and found nothing in it that needs correction.",
            indent=0,
        )
    part = ""
    for place, requirement in enumerate(wrong, start=1):
        if requirement["part"] != part:
            part = requirement["part"]
            yield Heading(2, part)
        yield from _point(place, requirement, has_state=sheet["state"] is not None)
    for heading, states in (
        ("Could not be read; please send a clear copy", (State.NOT_READ,)),
        ("The text alone does not settle it; please show", (State.OPEN,)),
        ("Not visible in text; judged on the printed pack", (State.NOT_VISIBLE,)),
    ):
        by_note: dict[str, list[str]] = {}
        for requirement in sheet["requirements"]:
            if requirement["state"] in states:
                by_note.setdefault(requirement["note"], []).append(requirement["what"])
        settled = [f"{note}: {' '.join(asked)}" for note, asked in by_note.items() if note]
        yield from headed(heading, [*settled, *by_note.get("", [])], items=True)
    if wrong:
        yield Heading(2, "Your answer")
        yield Paragraph("Please send us the corrected label, or say why a point does not apply.")
    yield Heading(2, "What this letter rests on")
    yield Paragraph(
        "The text of the label alone. It informs and does not certify: the competent authority "
        "of the market judges the label."
    )


def _point(place: int, requirement: RequirementData, *, has_state: bool) -> Iterator[Block]:
    """Yields one point: what the label shows, what is asked by which clause, what to change."""
    shown = [_shown(requirement, finding) for finding in requirement["findings"]]
    start = requirement["start"]
    if not shown and requirement["state"] == State.MISSING:
        shown = ["This does not stand in the text that we were given."]
    elif not shown:
        shown = [f"Line {start['line']}: “{requirement['text']}”." if start else ""]
    yield Paragraph(f"{place}. {shown[0]}", indent=0)
    yield from map(Paragraph, shown[1:])
    sources = [finding["source"] for finding in requirement["findings"]]
    own = has_state or not sources or requirement["clause"] in sources
    yield Paragraph(
        f"What is asked: {requirement['what']} ({requirement['clause'] if own else sources[0]})"
    )
    usual = "add it." if requirement["state"] == State.MISSING else "correct it."
    yield Paragraph(f"Please {requirement['change'] or usual}")


def _shown(requirement: RequirementData, finding: FindingData) -> str:
    """Returns what a finding says, with its line; the words that it marks where it does not quote
    them."""
    is_quoted = finding["text"] in finding["message"]
    if requirement["state"] == State.MISSING and not is_quoted:
        return finding["message"]
    quote = "" if is_quoted else f", “{finding['text']}”"
    return f"Line {finding['start']['line']}{quote}: {finding['message']}"
