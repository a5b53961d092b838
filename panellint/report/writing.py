"""The documents of reports: templates with the words, and what they ask for."""

from collections.abc import Iterator
from pathlib import Path
from typing import cast

from panellint.analysis.nutrition_input import statement_of
from panellint.output.document import Printed, RangeRow, Ranges, joined
from panellint.output.document_template import written
from panellint.report.blocks import Block, Legend, Points
from panellint.report.owner import band_words, everyday, file_of, starch_answers
from panellint.report.saying import premises, rounded
from panellint.tasks.bowl import harmful

_DOCUMENTS = Path(__file__).parent / "documents"
_FILTERS = (band_words, everyday, file_of, joined, premises, rounded)
_NAMES = {
    "Legend": Legend,
    "Points": Points,
    "Printed": Printed,
    "RangeRow": RangeRow,
    "Ranges": Ranges,
    "harmful": harmful,
    "starch_answers": starch_answers,
    "statement_of": statement_of,
}


def document(name: str, /, **values: object) -> Iterator[Block]:
    """Yields the document of a name, written of some values."""
    blocks = written(_DOCUMENTS / f"{name}.j2", {**_NAMES, **values}, *_FILTERS)
    return cast(Iterator[Block], blocks)
