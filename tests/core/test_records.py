"""Records in the shape of the types that the outputs have."""

from __future__ import annotations

from decimal import Decimal
from typing import NamedTuple, TypedDict

import pytest

from panellint.core.findings import Severity
from panellint.core.records import to_data
from panellint.core.source import Source, Span
from panellint.results.outline import Place


class Part(TypedDict):
    name: str
    low: float | None


class Whole(Place):
    kind: str
    code: str | None
    parts: list[Part]
    figures: dict[str, float]


class PartRecord(NamedTuple):
    name: str
    low: Decimal | float


class WholeRecord(NamedTuple):
    kind: Severity
    code: str
    parts: tuple[PartRecord, ...]
    span: Span


RECORD = WholeRecord(
    Severity.ERROR,
    "",
    (PartRecord("a", Decimal("1.23456")), PartRecord("b", float("inf"))),
    Span(2, 4),
)


def test_each_key_has_the_form_that_its_type_asks_for():
    data = to_data(Whole, RECORD, 2, Source("a\nbc"), figures={"x": Decimal(1)})
    assert data == {
        "start": {"line": 2, "column": 1},
        "end": {"line": 2, "column": 3},
        "kind": "error",
        "code": None,
        "parts": [{"name": "a", "low": 1.23}, {"name": "b", "low": None}],
        "figures": {"x": 1.0},
    }


def test_what_is_given_goes_before_the_record_and_a_dict_is_a_record_too():
    assert to_data(Part, {"name": "a", "low": 1, "more": 2}, name="b") == {"name": "b", "low": 1.0}


def test_a_key_that_neither_has_is_an_error():
    with pytest.raises(AttributeError, match="figures"):
        to_data(Whole, RECORD, None, Source("a\nbc"))
