"""The figures of `rules/nutrients` and `rules/practice` that the arithmetic stands on."""

from __future__ import annotations

from functools import cache
from typing import Any

from panellint.places import cached, rules_folder


@cache
def figures(name: str) -> Any:
    """The content of `rules/<name>.yaml`; treat as read-only, it is shared."""
    path = rules_folder() / f"{name}.yaml"

    def build() -> Any:
        import yaml

        return yaml.safe_load(path.read_text(encoding="utf-8"))

    return cached(f"figures-{name.replace('/', '-')}", [path], build)
