"""The rules for people: the list of them, and one with its reasons."""

from collections.abc import Iterator
from itertools import pairwise

from panellint.core.phrases import listed, shown
from panellint.core.text import one_line
from panellint.output.document import Block, Heading, Paragraph, Verbatim, table
from panellint.results import rules as shapes


def list_view(rows: list[shapes.RuleRow]) -> Iterator[Block]:
    """Yields the rules by pack: id and severity on one line, the title below it."""
    pack = None
    for row in rows:
        if row["pack"] != pack:
            pack = row["pack"]
            yield Heading(2, f"{pack}:")
        yield Paragraph(f"{row['rule']} ({row['severity']})")
        yield Paragraph(row["title"], indent=4)


def view(rule: shapes.RuleData) -> Iterator[Block]:
    """Yields one rule in full: what it asks, why, on what ground, with its examples."""
    yield Heading(1, rule["rule"])
    yield Paragraph(rule["title"], indent=0)
    rows = [("Severity", rule["weight"]), ("Applies to", rule["applies"])]
    rows += [("With", f"{name}: {_parameter(value)}") for name, value in rule["with"].items()]
    rows += [
        ("Says", f"({variant}) {words}" if variant else words)
        for variant, words in rule["says"].items()
    ]
    rows += [("Because", rule["because"]), ("Source", rule["source"]["text"])]
    rows += [("", rule["source"]["note"])] * bool(rule["source"]["note"])
    rows.append(("Pack", f"{rule['pack']} ({rule['place']})"))
    heads = [head for head, _ in rows]
    firsts = ["" if head == before else head for before, head in pairwise(["", *heads])]
    yield table(("", ""), list(zip(firsts, (words for _, words in rows), strict=True)), ())
    for text in rule["examples"]["passes"]:
        yield Heading(2, "Passes:")
        yield Verbatim(text)
    for failing in rule["examples"]["fails"]:
        marks = listed(f"`{one_line(mark)}`" for mark in failing["marks"])
        yield Heading(2, f"Fails, marking {marks}:")
        yield Verbatim(failing["text"])


def trial_view(trials: list[shapes.TriedExample]) -> Iterator[Block]:
    """Yields the examples of a pack that were run."""
    for trial in trials:
        state = trial["problem"] or "as it should be"
        yield Paragraph(f"{trial['rule']}, {trial['kind']} {trial['number']}: {state}", indent=0)
    wrong = sum(bool(example["problem"]) for example in trials)
    yield Paragraph(f"{len(trials)} examples tried, {wrong} not as they should be.", indent=0)


def checks_view(checks: list[shapes.CheckData]) -> Iterator[Block]:
    """Yields checks: the name, what it looks at, and each parameter."""
    for check in checks:
        needs = "" if check["needs"] == "label" else f" (needs a {check['needs']})"
        yield Heading(2, f"{check['check']}{needs}")
        yield Paragraph(check["title"])
        for parameter in check["parameters"]:
            yield from _declared(parameter, 4)
        if check["variants"]:
            variants = ", ".join(f"“{variant}”" for variant in check["variants"])
            yield Paragraph(f"Texts of their own for: {variants}.")


def _declared(parameter: shapes.ParameterData, indent: int) -> Iterator[Block]:
    kind = f"{parameter['type']}, {parameter['unit']}" if parameter["unit"] else parameter["type"]
    if parameter["values"]:
        kind += f" ({' | '.join(parameter['values'])})"
    if not parameter["required"]:
        usual = parameter["default"]
        kind += f"; by default {shown(usual)}" if usual or usual == 0 else "; may be left out"
    yield Paragraph(f"{parameter['name']}: {kind}", indent=indent)
    yield Paragraph(parameter["meaning"], indent=indent + 4)
    for field in parameter["fields"]:
        yield from _declared(field, indent + 4)


def _parameter(value: object) -> str:
    if isinstance(value, dict):
        return "; ".join(f"{key}: {_parameter(item)}" for key, item in value.items())
    if isinstance(value, list):
        return ", ".join(map(_parameter, value))
    return shown(value)
