"""What `lint` says of a panel file that names its batch sheet: that there is more to ask."""

import os
from collections.abc import Iterator

from panellint.analysis.context import LabelContext
from panellint.core.errors import InputError
from panellint.core.findings import Certainty, Observation
from panellint.maker.reconcile import is_ours
from panellint.maker.sheet.locate import INLINE, sheet_path
from panellint.rulepacks.model import Rule


def named(context: LabelContext, rule: Rule) -> Iterator[Observation]:
    """A batch sheet that the panel file names: which rules it settles, or why it cannot be
    used. The sheet itself is not read."""
    text, span = context.label.facts["batch-sheet"]
    text = text.strip()
    if text.startswith(INLINE):
        return
    values: dict[str, object] = {"sheet": text, "label": os.path.basename(context.source.path)}
    try:
        path = sheet_path(context.source.path, text)
    except InputError:
        yield Observation(span, Certainty.PROVEN, values, variant="outside")
        return
    there = os.path.isfile(path)
    settled = [
        other.id
        for other in context.settings.rules.values()
        if is_ours(other) and other.check != rule.check and other.is_on
    ]
    state = "" if there else f"There is no batch sheet {text} yet. "
    yield Observation(
        span,
        Certainty.PRACTICE if there else Certainty.PROVEN,
        {**values, "state": state, "settled": settled},
    )
