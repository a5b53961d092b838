"""A formula as its label would stand: names earned, order, guarantees; one side of two."""

from __future__ import annotations

from typing import TYPE_CHECKING

from panellint.core.errors import PanellintError
from panellint.maker.declare import Product, declare
from panellint.maker.model import Batch

if TYPE_CHECKING:
    from panellint.results.batch import LabelSide
    from panellint.rulepacks.settings import Settings


def side_of(batch: Batch, settings: Settings, species: str) -> LabelSide | None:
    """Returns what a label of the batch says; None where species or finished weight are not
    known, so that no label can be written."""
    try:
        found = declare(batch, Product(species=species), settings, force=True)
    except PanellintError:
        return None
    label = found.label
    return {
        "names": [one.name for one in found.tiers if one.earned],
        "declaration": [entry.name for entry in found.context.declaration.ingredients],
        "guarantees": [
            f"{one.printed} {one.bound} {one.value} {one.unit}" for one in label.guarantees
        ],
        "claims_lost": list(found.faults),
    }
