"""Where an ingredient has gone, for people and for spreadsheets."""

from collections.abc import Iterator

from panellint.output.document import Block, Heading, Paragraph, headed
from panellint.results.trace import ReachedPlace, Trace

_LEVELS = {"contains": "Contains it", "may contain": "May contain it"}
#: The columns of a spreadsheet, by their headings.
_KEYS = (
    "label", "product", "level", "printed", "why", "inside", "sheet", "line", "column", "supplier",
    "code", "lot", "date",
)  # fmt: skip
_COLUMNS = {"row or line" if key == "line" else key: key for key in _KEYS}


def view(data: Trace) -> Iterator[Block]:
    """Yields the labels and sheets that contain it, those that may, and what was not read."""
    for level, title in _LEVELS.items():
        before = ""
        for place in data["reached"]:
            if place["level"] != level:
                continue
            if _file(place) != before:
                before = _file(place)
                yield Heading(2, f"{title}: {before}")
                if place["product"]:
                    yield Paragraph(place["product"], indent=4)
            yield Paragraph(_hit(place), indent=4)
    yield from headed("Not read, so not cleared", data["unread"], indent=4)
    reached = {_file(reached) for reached in data["reached"]}
    sure = {_file(reached) for reached in data["reached"] if reached["level"] == "contains"}
    contain = "contains" if len(sure) == 1 else "contain"
    contain = f"{len(sure)} {contain} {data['name']}, {len(reached - sure)} more may contain it"
    unsure = sum(
        any(words.startswith(f"{path}:") for words in data["unread"])
        for path in data["not_reached"]
    )
    clear = len(data["not_reached"]) - unsure
    contain += f", {clear} {'does' if clear == 1 else 'do'} not"
    if unsure:
        contain += f", {unsure} {'is' if unsure == 1 else 'are'} not cleared: not all was read"
    yield Heading(2, f"{contain}.")
    yield Paragraph(data["caution"], indent=0)


def _file(place: ReachedPlace) -> str:
    return place["label"] or place["sheet"] or ""


def _hit(reached: ReachedPlace) -> str:
    """Returns one place in words: where, under what name, inside what, why, whose, which lot."""
    place = (
        f"row {reached['line']}" if reached["sheet"] else f"{reached['line']}:{reached['column']}"
    )
    sheet = f"{reached['sheet']} " if reached["sheet"] and reached["label"] else ""
    inside = f", inside {' > '.join(reached['inside'])}" if reached["inside"] else ""
    whose = f"; {reached['supplier']}" if reached["supplier"] else ""
    code = f", code {reached['code']}" if reached["code"] else ""
    lot = f", lot {reached['lot']}" if reached["lot"] else "; lot not known"
    kind = "dated" if reached["sheet"] else "best before"
    date = f", {kind} {reached['date']}" if reached["date"] else ""
    return f"{sheet}{place} {reached['printed']}{inside}: {reached['why']}{whose}{code}{lot}{date}"


def rows(data: Trace) -> list[list[str]]:
    """Returns the places as the rows of a spreadsheet, the headings first."""
    lines = []
    for place in data["reached"]:
        row = {**place, "inside": " > ".join(place["inside"]), "lot": place["lot"] or "not known"}
        lines.append([str(row[key] or "") for key in _COLUMNS.values()])
    return [list(_COLUMNS), *lines]
