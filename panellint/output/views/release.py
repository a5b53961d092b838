"""A dossier for people: which labels may go to print, and why others may not."""

from collections.abc import Iterator

from panellint.core.numbers import number
from panellint.core.phrases import capital
from panellint.output.document import Block, Heading, Items, Paragraph, table
from panellint.output.views.balance import sentence
from panellint.results import release as shapes

_DIGEST = 16


def view(data: shapes.Release) -> Iterator[Block]:
    """Yields the verdicts, then label by label the reasons, the questions and the digests."""
    yield Heading(1, f"Release of {data['day']}")
    counts = [f"{count} {kind.replace('_', ' ')}" for kind, count in data["summary"].items()]
    yield Paragraph(f"{capital(', '.join(counts))}.")
    if data["unchanged"]:
        yield Paragraph(f"Not changed since {data['since']}: {', '.join(data['unchanged'])}.")
    for label in data["labels"]:
        yield from _label(label)
    version, rules = data["program"]["version"], data["program"]["rules"]
    yield Paragraph(f"Judged by panellint {version}, rules sha256 {rules[:_DIGEST]}.")
    yield Paragraph(data["caution"])


def _label(label: shapes.ReleasedLabel) -> Iterator[Block]:
    title = f"{label['path']}: {label['verdict']}"
    yield Heading(2, title)
    if label["product"]:
        yield Paragraph(label["product"])
    if label["why"]:
        yield Paragraph("Against it:")
        yield Items(tuple(map(_with_arithmetic, label["why"])))
        if any(reason["arithmetic"] is None for reason in label["why"]):
            yield Paragraph("--with-weights adds the arithmetic.", kind="small")
    if label["look_at"]:
        yield Paragraph("To look at:")
        yield Items(tuple(map(_reason, label["look_at"])))
    if label["waived"]:
        yield Paragraph("Waived:")
        yield Items(tuple(label["waived"]))
    for market in label["markets"]:
        yield table(("question", market["market"].upper()), list(_questions(market)))
    if label["markets"]:
        yield Paragraph(f"{capital(sentence(label['balance']))}.")
    if label["price"]:
        yield Paragraph(_price(label["price"]))
    if weights := label.get("weights"):
        rows = [(line["name"], number(round(line["percent"], 3), 6)) for line in weights]
        yield table(("ingredient", "% of the mix"), rows, [1])
    if label["files"]:
        yield Paragraph("Judged, with the sha256 of each file:")
        yield Items(
            tuple(f"{file['path']} ({file['kind']}) {file['sha256']}" for file in label["files"])
        )


def _reason(reason: shapes.Reason) -> str:
    place = f"line {reason['line']}: " if reason["line"] else ""
    market = f"{reason['market'].upper()}, " if reason["market"] else ""
    rule = f" [{reason['rule']}]" if reason["rule"] else ""
    return f"{market}{reason['question']}: {place}{reason['message']}{rule}"


def _with_arithmetic(reason: shapes.Reason) -> str:
    return "; ".join((_reason(reason), *(step.rstrip(".") for step in reason["arithmetic"] or ())))


def _questions(market: shapes.MarketState) -> Iterator[tuple[str, str]]:
    for question_state in market["questions"]:
        count = f" ({question_state['reasons']})" if question_state["reasons"] else ""
        yield question_state["question"], f"{question_state['state']}{count}"
    for state, number_of in market["requirements"].items():
        if number_of:
            yield f"requirements {state.replace('-', ' ')}", str(number_of)


def _price(price: shapes.Price) -> str:
    words = f"Cost per kg of the mix {price['mix']:.4f}"
    if price["food"] is not None:
        words += f", of the food {price['food']:.4f}"
    if price["before"] is not None:
        words += (
            f"; of the mix before {price['before']:.4f} ({price['mix'] - price['before']:+.4f})"
        )
    return f"{words}."
