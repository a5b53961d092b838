"""What stands beside a label on the desk, as HTML, and the words that findings mark."""

import os
from collections.abc import Callable, Iterator, Mapping
from typing import Any, NamedTuple, TypedDict

from panellint import api
from panellint.analysis.context import LabelContext
from panellint.core.errors import PanellintError
from panellint.core.source import Positions, Source
from panellint.label.amounts import body_weight_in
from panellint.lint.engine import lint_context
from panellint.output.document import Heading, Paragraph, plain
from panellint.output.document_template import view
from panellint.output.render_options import CAUTION
from panellint.report.blocks import Block, Points, points
from panellint.report.kinds import document
from panellint.report.page import fragment
from panellint.rulepacks.settings import Settings
from panellint.tasks.animal import animal_of


class Mark(TypedDict):
    """Words that a finding marks, by UTF-16 units as a browser counts them."""

    start: int
    end: int
    severity: str
    message: str


class Answer(TypedDict):
    """What stands beside a label."""

    html: str
    marks: list[Mark]


class Asked(NamedTuple):
    """A label at work: its text, the path that names it, the settings that reach it, and the
    animal of a plan as it was typed."""

    text: str
    path: str
    settings: Settings
    weight: str = ""
    life: str = "adult"

    @property
    def label(self) -> api.Label:
        """The label as every answer takes it."""
        return api.Label(self.text, self.path, self.settings)


def answer(kind: str, asked: Asked) -> Answer:
    """Returns one of KINDS. Raises PanellintError where there is no answer."""
    if kind == "findings":
        return _findings(asked)
    blocks = (_without_path(block, asked.path) for block in KINDS[kind][1](asked))
    return {"html": fragment(block for block in blocks if block), "marks": []}


def _without_path(block: Block, path: str) -> Block | None:
    """Returns a block without the folder of the label; None for the heading that a file has
    elsewhere, since here the page has it."""
    if not isinstance(block, Heading) or path not in plain(block.words):
        return block
    words = plain(block.words).replace(path, os.path.basename(path))
    return None if words == os.path.basename(path) else block._replace(words=words)


def _findings(asked: Asked) -> Answer:
    context = LabelContext.of(Source(asked.text, asked.path), asked.settings)
    findings = lint_context(context, asked.settings).findings
    listed = Points(
        points(context, findings), "Nothing was found. That is no proof of a good label."
    )
    distance = Positions(context.source).distance
    marks: list[Mark] = [
        {
            "start": distance(finding.span.start),
            "end": distance(finding.span.end),
            "severity": finding.severity.value,
            "message": finding.message,
        }
        for finding in findings
    ]
    return {"html": fragment([listed, Paragraph(CAUTION)]), "marks": marks}


def _sheet(asked: Asked) -> Iterator[Block]:
    weight = body_weight_in(asked.weight) if asked.weight else None
    return document([asked.label.context()], "sheet", animal_of(weight, None, asked.life))


def _view(
    question: str, view: Callable[[Any], Iterator[Block]]
) -> Callable[[Asked], Iterator[Block]]:
    """Returns what views one of the answers of `panellint.api` to a label."""

    def viewed(asked: Asked) -> Iterator[Block]:
        answer = getattr(api, question)(asked.text, asked.path, settings=asked.settings)
        return view([answer] if question == "requirements" else answer)

    return viewed


def _plan(asked: Asked) -> Iterator[Block]:
    weight = body_weight_in(asked.weight)
    if weight is None:
        raise PanellintError("Write the animal's weight above, such as 20 kg or 44 lb.")
    return view("plan")(api.plan([asked.label], weight, life=asked.life))


#: What can stand beside a label, in the order of the page: its title, and who makes it.
KINDS: Mapping[str, tuple[str, Callable[[Asked], Iterator[Block]]]] = {
    "findings": ("Findings", lambda _: iter(())),
    "sheet": ("Sheet", _sheet),
    "shares": ("Shares", _view("shares", view("shares", proofs=False, of=()))),
    "nutrition": ("Nutrition", _view("nutrition", view("nutrition"))),
    "requirements": ("Requirements", _view("requirements", view("requirements"))),
    "plan": ("Plan", _plan),
}
