"""What several checks say alike: certainty from premises, places that belong to a finding."""

from collections.abc import Iterable

from panellint.core.findings import Certainty, Related
from panellint.ingredients.model import Ingredient
from panellint.shares.premises import LABEL_ALONE, Premise


def certainty_of(rests_on: Iterable[Premise]) -> Certainty:
    """Returns PROVEN where the label's own words are enough, POSSIBLE where literature ranges,
    guarantees or the water that processing takes out are needed as well."""
    return Certainty.PROVEN if LABEL_ALONE.issuperset(rests_on) else Certainty.POSSIBLE


def declared_here(entries: Iterable[Ingredient], words: str = "") -> tuple[Related, ...]:
    """Returns the places of declared ingredients, in the order given, each once."""
    seen = dict.fromkeys((entry.name_span, entry.name) for entry in entries)
    return tuple(Related(span, f"{name} {words or 'is declared here'}") for span, name in seen)


def are(count: int) -> str:
    """Returns “is” or “are”."""
    return "is" if count == 1 else "are"
