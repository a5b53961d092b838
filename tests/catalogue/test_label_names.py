"""Names as labels print them are known, and taken for the right thing."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

from panellint.catalogue import load
from panellint.catalogue.model import CatalogueEntry

LIST = Path(__file__).parent / "label-names.txt"
#: The share of the list, in percent, that is known and right.
RIGHT = 99


class LabelName(NamedTuple):
    """One printed name with its answer; a dot in an answer is not asked."""

    name: str
    market: str
    language: str
    kind: str
    source: str
    state: str


def label_names() -> Iterator[LabelName]:
    """Yields the names of the list in its order."""
    market = language = kind = source = state = ""
    for line in LIST.read_text("utf-8").splitlines():
        if line.startswith("@"):
            market, language = line[1:].split()
        elif line.startswith("="):
            kind, source, state = (part.strip() for part in line[1:].split("|"))
        elif not line.startswith("#"):
            yield LabelName(line, market, language, kind, source, state)


def fits(wanted: LabelName, entry: CatalogueEntry) -> bool:
    """True where an entry is of the kind, the animal or plant (or a kind of it) and the state."""
    return (
        wanted.kind in (".", entry.kind)
        and (wanted.source == "." or wanted.source in entry.classes)
        and wanted.state in (".", entry.state)
    )


def test_the_list_holds_a_thousand_names_once_each() -> None:
    names = list(label_names())
    assert len(names) >= 1000
    assert len({(one.market, one.language, one.name.lower()) for one in names}) == len(names)
    assert {one.language for one in names} == {"de", "en", "es", "fr", "it", "nl"}


def test_names_of_labels_are_known_and_right() -> None:
    catalogue = load()
    names = list(label_names())
    wrong = []
    for one in names:
        match = catalogue.lookup(one.name, market=one.market, language=one.language)
        if match is None or not fits(one, match.known):
            wrong.append((one.name, one.language, match.known.id if match else "unknown"))
    assert 100 * (len(names) - len(wrong)) >= RIGHT * len(names), wrong
