"""The figures of one ingredient as others read them."""

from collections.abc import Callable, Iterator, Mapping
from typing import Any

from panellint.catalogue.model import Figure, Range


class Figures(Mapping[str, Figure]):
    """The figures of one ingredient, fetched from the compiled figures when first asked."""

    __slots__ = ("_fetch", "_figures")

    def __init__(self, fetch: Callable[[], dict[str, Figure]]) -> None:
        self._fetch = fetch
        self._figures: dict[str, Figure] | None = None

    def _all(self) -> dict[str, Figure]:
        if self._figures is None:
            self._figures = self._fetch()
        return self._figures

    def __getitem__(self, nutrient: str) -> Figure:
        return self._all()[nutrient]

    def __iter__(self) -> Iterator[str]:
        return iter(self._all())

    def __len__(self) -> int:
        return len(self._all())

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Mapping) and self._all() == dict(other)

    __hash__ = None  # type: ignore[assignment]

    def __repr__(self) -> str:
        return f"Figures({self._all()!r})"


def decoded(rows: dict[str, list[Any]], data: Mapping[str, Any]) -> dict[str, Figure]:
    """Compiled rows as `Figure`s."""
    sources, units = data["sources"], data["units"]
    return {
        nutrient: Figure(Range(float(low), float(high)), units[nutrient], sources[at], confirmed)
        for nutrient, (low, high, at, confirmed) in rows.items()
    }
