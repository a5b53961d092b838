"""The kinds of report, and which one answers for one path and for several."""

from collections.abc import Callable, Iterable, Iterator
from datetime import date

from panellint.analysis.context import LabelContext
from panellint.core.errors import PanellintError
from panellint.report.blocks import Block
from panellint.results.foods import Plan
from panellint.tasks.animal import Animal, needs_of

#: The owner's page, the long reading, a range on one page, and a page a food to talk through.
KINDS = ("sheet", "full", "range", "slides")


def chosen(kind: str | None, foods: int) -> str:
    """Returns the kind of a report of so many foods; without one a sheet, of several the range.

    Raises PanellintError where one food alone can be told in that way.
    """
    kind = kind or ("sheet" if foods == 1 else "range")
    if kind == "sheet" and foods != 1:
        raise PanellintError(f"a sheet is of one food; for {foods} take range, slides or full")
    return kind


def document(
    contexts: Iterable[LabelContext],
    kind: str,
    animal: Animal | None = None,
    progress: Callable[[], None] = lambda: None,
) -> Iterator[Block]:
    """Yields the report of foods in one of KINDS, read today; `progress` is called after each.

    With an animal, a sheet and a full report have the day's amount, and a range the amounts of each
    food; see `panellint.tasks.animal.need_of` for what is raised.
    """
    from panellint.report.foods import owner, range_page, sheet, slides
    from panellint.report.reading import full

    day = date.today()
    words = f"{day.day} {day:%B %Y}"
    if kind == "full":

        def planned() -> Iterator[tuple[LabelContext, Plan | None]]:
            for context in contexts:
                yield context, _plan(context, animal)
                progress()

        # All of it before the first line is written: a label may turn out not to be readable.
        return iter(tuple(full(planned(), day, words)))
    owners = []
    for context in contexts:
        owners.append(owner(context))
        progress()
    if kind == "slides":
        return slides(owners, words)
    if kind == "range":
        kinds = [food.context.species for food in owners]
        return range_page(owners, words, needs_of(animal, kinds))
    return sheet(owners[0], words, _plan(owners[0].context, animal))


def _plan(context: LabelContext, animal: Animal | None) -> Plan | None:
    """Returns a day's bowl of one food for an animal; None without one."""
    from panellint.tasks.plan import plan

    return plan([context], (), animal) if animal else None
