"""The headings and the sentences that lead into each part of a reading, in every form alike."""

from __future__ import annotations

from panellint.report.model import Figures, Reading

WHAT = "What it is"

NAME = "What the name promises"
ON_NEEDS = "What the rule asks, beside what the label allows"
NEED_HEADINGS = ("Of", "The rule asks", "The label allows", "So it is")
NO_PROOF = "There is nothing to prove: recipes of either sort fit the label."

LIST = "What is in it"
ON_LIST = (
    "A label gives the order of the ingredients, by weight as they go into the mix, and seldom "
    "their amounts. Each bar shows how little and how much of the mix an ingredient can be "
    "without contradicting the label. A long bar means that the label tells little, not that "
    "there is much of it."
)
ON_ROWS = "The whole list of ingredients, with the share of each in the mix"
SHARE_HEADINGS = ("Ingredient", "Share of the mix")
CLASH = (
    "No recipe fits all that the label says (or the literature ranges are too narrow for this "
    "food), so no shares can be told. These cannot all be true:"
)
NO_LIST = "The label gives no list of ingredients."
SIDES = "Animal, plant, and the rest"
ON_SIDES = "Shares of the mix by where ingredients come from, fresh ones with their own water"
SIDE_HEADINGS = ("Where from", "Share of the mix")
FAMILIES = "Declared apart, of one kind"
ON_FAMILIES = (
    "Parts of one plant or animal that stand apart in the list each take a lower place than they "
    "would together. There can be good reasons for that."
)
FAMILY_HEADINGS = ("Family", "Share of the mix")
FRESH = "Fresh meat and fish, with and without water"
ON_FRESH = (
    "Fresh meat is mostly water, which the food may lose in drying. Much meat at the head of a "
    "list can be little meat once the water is gone."
)

PROOFS = "Why these shares"

FIGURES = "Protein, fat, carbohydrate, energy"
ON_BASES = (
    "The same food three ways. As fed is what goes into the bowl, water and all. Dry matter "
    "leaves the water out, so that wet and dry foods can be compared. Per 1000 kcal "
    "counts what comes with the same energy, and the last column tells where that energy comes "
    "from."
)
ON_PARTS = "Worked out from the printed guarantees, which are limits and no analyses"
PART_HEADINGS = (
    "Part",
    "On the label",
    "As fed, %",
    "Dry, %",
    "g/1000 kcal",
    "Energy, %",
)
ON_BANDS = "Carbohydrate as fed: how far each assumption narrows it"
BAND_HEADINGS = ("Taken for granted", "Carbohydrate, % as fed")
PROFILE = "Against the nutrient profile"
ON_LIMITS = "Limits of the profile that the label's figures bear on"

STARCHES = "Starches and binders"
ON_STARCHES = (
    "What each starch, gum and sweet or starchy food is doing there, as far as the label tells. "
    "The glycaemic index is measured in people, and is no more than a hint for dogs and cats."
)
STARCH_HEADINGS = ("Ingredient", "What it does", "Binds at", "Glycaemic index in people")
NO_STARCHES = "No starch, gum or food with a measured glycaemic index is declared."

NUTRIENTS = "Vitamins and minerals"
ON_NUTRIENTS = (
    "For each vitamin and mineral that the profile asks for: is there a source on the label? A "
    "source says nothing of the amount. Where none is found, the foods in the list may still "
    "hold it."
)
NOT_CALLED_COMPLETE = (
    "The label does not call this food complete, so it need not supply them: something else in "
    "the diet has to."
)
NO_NUTRIENTS = "There is no profile to hold the label against."
CAT = "What a cat must eat"

HAZARDS = "Hazards and doubtful words"
NO_HAZARDS = (
    "No ingredient in the list is known here to harm the animal that the food is for. Names that "
    "are not known cannot be judged."
)
NO_DOUBT = "No name or claim was found that leaves the reader in doubt."

TARGET = "To reach a target"
ON_TARGET = (
    "A target is somebody's wish, not a requirement. This shows the arithmetic of adding one "
    "plain food; it is no advice to feed it."
)
ON_WAYS = "What to add to this food"
WAY_HEADINGS = (
    "Add",
    "g per kg of food",
    "% of bowl",
    "% of energy",
    "Energy of the bowl then",
)

NO_POINTS = "Nothing else was found."
WAIVED = "Accepted by the maker for a time"
SOURCES = "Sources"

BY_NAME = "The foods stand in the order of their names."
TABLE = "One table on one basis"
WET_AND_DRY = (
    "Water makes every other figure smaller. Compare foods of unlike moisture on dry matter or "
    "per 1000 kcal."
)
ON_TABLE = (
    "* not printed: a usual figure for such a food. A dash: the label does not tell. kcal/kg is "
    "the label's own as fed, or else worked out."
)
DIFFERENCES = "What differs"
ALIKE = "On what the labels tell, these foods are alike."
BARS = "The same bars for each"
EACH = "Each food"


def points(reading: Reading) -> str:
    """The heading of the findings that are neither hazards nor doubtful words."""
    return (
        "Other points on the label"
        if reading.hazards or reading.doubtful
        else "Points on the label"
    )


def limit_headings(figures: Figures) -> tuple[str, str, str, str]:
    """The headings of the table of limits."""
    said = "By the label, corrected for energy" if figures.corrected else "By the label"
    return ("Nutrient", "The profile asks", said, "So it")
