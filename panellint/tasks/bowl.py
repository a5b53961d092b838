"""What a bowl of several foods is, whoever worked out their amounts."""

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import NamedTuple

from panellint.analysis.context import LabelContext
from panellint.core.errors import NotComputable
from panellint.core.findings import Severity
from panellint.core.records import to_data
from panellint.lint.engine import findings_of
from panellint.nutrition.bases import PARTS, Analysis, on_dry_matter, on_energy
from panellint.nutrition.energy import energy_shares
from panellint.nutrition.serialize import PLACES, rounded, rounded_parts
from panellint.output.document import Paragraph, plain
from panellint.output.document_template import written
from panellint.results.foods import BowlEnergy, Completeness
from panellint.results.nutrition import BasesData
from panellint.rulepacks.data import data

_SENTENCES = Path(__file__).parent / "sentences"


class Harm(NamedTuple):
    """An ingredient that can harm an animal, or (`by_dose`) that can where there is much of it."""

    name: str
    by_dose: bool
    what: str


def harmful(context: LabelContext, species: str) -> Iterator[Harm]:
    """Yields the ingredients of a label that can harm a species, as the rules weigh them; for an
    animal that the food is not for, by the catalogue alone."""
    if species not in context.animals:
        for entry in context.leaves:
            for hazard in entry.match.known.hazards if entry.match else ():
                if hazard.species == species and hazard.level in ("error", "warning"):
                    yield Harm(entry.name, hazard.level == "warning", hazard.what)
        return
    checks = data("data/reading")["hazards"]
    about = context.settings.rules_about(context.kind)
    rules = [rule for rule in about if rule.check in checks]
    entries = {entry.name_span: entry for entry in context.leaves}
    for finding in findings_of(context, rules):
        named = entries.get(finding.span)
        known = named.match.known.hazards if named and named.match else ()
        what = next((danger.what for danger in known if danger.species == species), "")
        if named and what and finding.severity in (Severity.ERROR, Severity.WARNING):
            yield Harm(named.name, finding.severity is Severity.WARNING, what)


def bases_of(bowl: Analysis, kcal_per_kg: float | None) -> BasesData:
    """Returns a bowl on every basis; None for what cannot be worked out."""
    empty: dict[str, float | None] = dict.fromkeys(PARTS)
    try:
        dry = on_dry_matter(bowl)
    except NotComputable:
        dry = empty
    return {
        "as_fed": rounded_parts(bowl.as_dict()),
        "dry_matter": rounded_parts(dry),
        "per_1000_kcal": rounded_parts(on_energy(bowl, kcal_per_kg) if kcal_per_kg else empty),
    }


def energy_of(bowl: Analysis, kcal_per_kg: float, method: str) -> BowlEnergy:
    """Returns the energy of a bowl and where it comes from; None for parts that are not known."""
    try:
        shares: dict[str, float | None] = dict(energy_shares(bowl)._asdict())
    except NotComputable:
        shares = dict.fromkeys(("protein", "fat", "carbohydrate"))
    return to_data(BowlEnergy, None, PLACES, kcal_per_kg=kcal_per_kg, method=method, shares=shares)


def completeness_of(parts: Sequence[tuple[str, bool | None, float]]) -> Completeness:
    """Returns which part of the energy comes from food that no label calls complete, against the
    customary most; `parts` are names, whether each is complete (None: not said), and the percent
    of the energy that it gives."""
    most = float(data("data/nutrition")["incomplete_energy_share"]["most"])
    incomplete = sum(percent for _, complete, percent in parts if not complete)
    return {
        "incomplete_energy_percent": rounded(incomplete),
        "customary_most_percent": most,
        "practice": True,
        "over": incomplete > most + 1e-9,
        "not_said": [name for name, complete, percent in parts if complete is None and percent > 0],
        "share_percent_at_customary_most": None,
    }


def sentences(of: str, **values: object) -> list[str]:
    """Returns the sentences of an answer."""
    blocks = written(_SENTENCES / f"{of}.j2", values)
    return [plain(block.words) for block in blocks if isinstance(block, Paragraph)]
