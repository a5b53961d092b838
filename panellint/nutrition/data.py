"""The figures of `rules/nutrients` and `rules/practice` that the arithmetic stands on."""

from __future__ import annotations

from typing import Any

from panellint.rulepacks.data import data


def figures(name: str) -> Any:
    """The content of `rules/<name>.yaml`; it is shared, treat it as read-only."""
    return data(name)
