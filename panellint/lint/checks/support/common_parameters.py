"""Parameters that several checks take alike."""

from collections.abc import Mapping
from typing import Any

from panellint.core.findings import Certainty
from panellint.core.wording import Wording
from panellint.rulepacks.parameters import text, texts, words

MOISTURE_CLASSES = ("dry", "semi-moist", "wet")

TIER = texts("tier", "The tiers of the name that the rule is about.")
ROUTES = texts("routes", "The kinds of adequacy statement that the rule is about.")
DOUBTFUL_USES = texts("doubtful-uses", "Uses of which the law is not settled.", default=[])
EXCEPT_USES = texts("except-uses", "Uses of a food that the rule is not about.", default=[])
CERTAINTY = text("certainty", "How sure the finding is.", *Certainty)
CLAIM = words("words", "The claim, in the name or in free words.")


def wordings(given: Mapping[str, Any], path: str) -> dict[str, Wording]:
    """Returns the words of a table as searches, by its keys."""
    return {key: Wording(words) for key, words in given.items()}
