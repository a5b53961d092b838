"""What an ingredient holds on average, where the composition tables give means.

The catalogue's ranges bound; an estimate wants the mean. It is the plain average over the table
rows that the catalogue ties to an ingredient, and stands for no particular delivery. The means
are generated with the ranges, by `rules/tables/generate.py`.
"""

from collections.abc import Mapping
from functools import cache

from panellint.catalogue import files
from panellint.core.cache import Entries, cached


def means_of(id: str) -> Mapping[str, float]:
    """Means by nutrient id, each in the nutrient's own unit as added; {} where no table has any."""
    means: Mapping[str, float] = _all().get(id, {})
    return means


@cache
def _all() -> Entries:
    file = files.means_file()
    return cached("catalogue-means", [file], lambda: files.read(file)["means"])
