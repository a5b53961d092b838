"""The whole labels of this folder: faultless ones, and ones with one planted fault each.

`faultless/*.yaml`: `id`, `market`, `text`, and `slips`, the words of a scanned label that a
scanner has spoilt (a finding that points at the line of one is in order). `planted/*.yaml`:
`fault` (what is wrong), either `from` with `edits` (a faultless label in which words are replaced)
or `market` and `text`, `rules` (any one of them has to speak), and `marks`, words of which the
finding has to mark one; without `marks` any place will do, since what is missing stands nowhere.
"""

from __future__ import annotations

import zlib
from collections.abc import Iterator, Sequence
from functools import cache
from pathlib import Path
from typing import NamedTuple

import yaml

FOLDER = Path(__file__).parent


class Label(NamedTuple):
    """A label on which no error and no warning is in order, but for `slips`."""

    id: str
    market: str
    text: str
    slips: tuple[str, ...] = ()


class Planted(NamedTuple):
    """A label with one fault; one of `rules` has to mark one of `marks`. `sound` is the text
    without the fault, "" where there is none."""

    id: str
    market: str
    text: str
    rules: tuple[str, ...]
    marks: tuple[str, ...]
    sound: str = ""


def held_out(label_id: str) -> bool:
    """Whether a label is kept unseen while the program is worked on: one in three, by its id."""
    return zlib.crc32(label_id.encode()) % 3 == 0


@cache
def faultless() -> Sequence[Label]:
    """All faultless labels, file by file."""
    return [
        Label(row["id"], row["market"], row["text"], tuple(row.get("slips", ())))
        for row in _rows("faultless")
    ]


@cache
def planted() -> Sequence[Planted]:
    """All labels with a planted fault. Raises ValueError where an edit does not fit its label."""
    sound = {label.id: label for label in faultless()}
    return [_planted(row, sound) for row in _rows("planted")]


def _rows(folder: str) -> Iterator[dict]:
    for path in sorted((FOLDER / folder).glob("*.yaml")):
        yield from yaml.safe_load(path.read_text("utf-8"))


def _planted(row: dict, sound: dict[str, Label]) -> Planted:
    rules, marks = tuple(row["rules"]), tuple(row.get("marks", ()))
    if "from" not in row:
        return Planted(row["fault"], row["market"], row["text"], rules, marks)
    label = sound[row["from"]]
    text, name = label.text, f"{label.id}: {row['fault']}"
    for edit in row["edits"]:
        old = edit["replace"]
        # The block text of a file ends with one line break, whatever the label ended with.
        if text.count(old) != 1 and text.count(old := old.rstrip("\n")) != 1:
            raise ValueError(f"{name}: {old!r} stands {text.count(old)} times, not once")
        text = text.replace(old, edit["with"])
    for mark in marks:
        if mark not in text:
            raise ValueError(f"{name}: {mark!r} does not stand in the label")
    return Planted(name, label.market, text, rules, marks, label.text)
