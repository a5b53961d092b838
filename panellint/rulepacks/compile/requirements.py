"""The requirements of a market compiled: read, validated, held against the rules that they name."""

from collections.abc import Collection, Mapping
from pathlib import Path
from typing import Any

from panellint.core.errors import InputError
from panellint.core.text import one_line
from panellint.rulepacks.compile import models, yaml_source
from panellint.rulepacks.compile.errors import unknown, validated
from panellint.rulepacks.compile.packs import source_data


def compile_requirements(
    files: Mapping[str, Path], states: Path, rules: Collection[str]
) -> dict[str, Any]:
    """Returns the requirements of each market as JSON data, in the order of its file, and under
    “states” what states have enacted.

    `files` are by market; `rules` are the ids of all rules. Raises InputError with every fault.
    """
    document = yaml_source.read(states)
    texts = None if document.broken else validated(document, models.States)
    faults = list(document.faults)
    compiled: dict[str, Any] = {"states": [_state(text) for text in texts.states] if texts else []}
    for market, path in files.items():
        document = yaml_source.read(path)
        sheet = None if document.broken else validated(document, models.Requirements)
        for number, part in enumerate(sheet.parts if sheet else ()):
            for place, requirement in enumerate(part.requirements):
                for at, rule in enumerate(requirement.rules):
                    if rule not in rules:
                        loc = ("parts", number, "requirements", place, "rules", at)
                        unknown(document, loc, "rule", rule, rules)
        faults += document.faults
        if sheet:
            own = [_compiled(part.part, row) for part in sheet.parts for row in part.requirements]
            compiled[market] = {"as_in": sheet.as_in, "rows": own}
    if faults:
        raise InputError(*faults)
    return compiled


def _compiled(part: str, requirement: models.Requirement) -> dict[str, Any]:
    due = requirement.for_
    return requirement.model_dump(exclude={"for_"}) | {
        "part": part,
        "applies": due.model_dump(include=set(models.Kinds.model_fields)),
        "except_uses": due.except_use,
        "routes": due.routes,
        "source": source_data(requirement.source) if requirement.source else None,
    }


def _state(text: models.StateText) -> dict[str, Any]:
    clauses = {}
    for clause in text.clauses:
        source = {k: v for k, v in source_data(clause).items() if k not in ("of", "differs")}
        row = {"source": source, "differs": one_line(clause.differs)}
        clauses.update(dict.fromkeys(clause.of, row))
    texts = {key: one_line(getattr(text, key)) for key in ("code", "title", "adopted", "unknown")}
    return {"id": text.id, "edition": text.edition, **texts, "clauses": clauses}
