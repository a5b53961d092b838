"""Forty declarations as the trade writes them: their names are known.

Written from knowledge of the trade, no real product: grain-free and plain kibble, cans, raw,
freeze-dried, air-dried, fresh, veterinary-style, insect, broth, EU categories. Common
practice, no source.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from panellint.catalogue import load
from panellint.core.source import read
from panellint.ingredients.model import Ingredient
from panellint.ingredients.resolve import identify
from panellint.label.reader import read_label

FILES = sorted((Path(__file__).parent / "declarations").glob("*.txt"))
#: What is left unknown on purpose: a preparation that no entry describes.
UNKNOWN = {"immunoglobulins"}


def names_of(path: Path) -> list[Ingredient]:
    market = path.stem.split("-")[0]
    return list(identify(read_label(read(path)), load(), market=market).walk())


def test_there_are_forty() -> None:
    assert len(FILES) >= 40


def test_at_least_98_of_100_names_are_known() -> None:
    entries = [entry for path in FILES for entry in names_of(path)]
    unknown = {entry.name for entry in entries if entry.match is None}
    assert len(entries) > 800
    assert sum(entry.match is None for entry in entries) <= 0.02 * len(entries), unknown
    assert unknown == UNKNOWN


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_most_of_each_declaration_is_known(path: Path) -> None:
    entries = names_of(path)
    unknown = [entry.name for entry in entries if entry.match is None]
    assert len(unknown) <= max(1, 0.05 * len(entries)), unknown
