"""Parameters that several checks take alike."""

from __future__ import annotations

from panellint.core.findings import Certainty
from panellint.rulepacks.parameters import text, texts, words

MOISTURE_CLASSES = ("dry", "semi-moist", "wet")

TIER = texts("tier", "The tiers of the name that the rule is about.")
ROUTES = texts("routes", "The kinds of adequacy statement that the rule is about.")
EXCEPT_USES = texts("except-uses", "Uses of a food that the rule is not about.", default=[])
CERTAINTY = text("certainty", "How sure the finding is.", *Certainty)
CLAIM = words("words", "The claim, in the name or in free words.")
