"""The same answers as the commands print, as plain data, for notebooks and other programs.

Every function takes the text of one label and what to call it. Without `settings`, those that
reach `path` apply. PanellintError is raised where there is no answer: InputError where a
settings file or a pack is at fault.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from panellint.analysis.context import LabelContext
    from panellint.rulepacks.settings import Settings


def outline(text: str, path: str = "-", settings: Settings | None = None) -> dict[str, Any]:
    """What the linter understood: the object of `outline --format json`."""
    from panellint.analysis.outline import outline as understood

    return understood(_case(text, path, settings, quick=True))


def lint(text: str, path: str = "-", settings: Settings | None = None) -> dict[str, Any]:
    """The findings of one label: one element of `files` of `lint --format json`."""
    from panellint.core.source import Source
    from panellint.lint.engine import lint as find
    from panellint.output.findings.json import file_data

    return file_data(find(Source(text, path), settings))


def shares(
    text: str,
    path: str = "-",
    premises: tuple[str, ...] | None = None,
    settings: Settings | None = None,
) -> dict[str, Any]:
    """Least and most of each ingredient, the families, the promises of the name: the object of
    `shares --format json`. `premises` names those to take; None takes the usual ones."""
    from panellint.analysis.shares_report import shares as proven

    return proven(_case(text, path, settings), premises)


def nutrition(text: str, path: str = "-", settings: Settings | None = None) -> dict[str, Any]:
    """The food on every basis, with ranges, energy and profile: the object of
    `nutrition --format json`."""
    from panellint.analysis.nutrition_input import ranges_by_shares, statement_of
    from panellint.nutrition.serialize import tell

    context = _case(text, path, settings)
    statement = statement_of(context)
    return {
        "path": path,
        "name": context.label.product_name or None,
        **tell(statement, ranges_by_shares(context, statement)),
    }


def _case(text: str, path: str, settings: Settings | None, *, quick: bool = False) -> LabelContext:
    from panellint.analysis.context import LabelContext
    from panellint.core.source import Source
    from panellint.rulepacks.settings import Settings

    return LabelContext.of(Source(text, path), settings or Settings.for_path(path), quick=quick)
