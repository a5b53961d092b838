"""The same answers as the commands print, as plain data, for notebooks and other programs.

Every function takes the text of one label and what to call it, and raises PanellintError
(InputError where a settings file or a pack is at fault) where it cannot answer.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from panellint.settings import Settings


def lint(text: str, path: str = "-", settings: Settings | None = None) -> dict[str, Any]:
    """The findings of one label: one element of `files` of `lint --format json`.

    Without `settings`, those that reach `path` apply.
    """
    from panellint.lint import lint as find
    from panellint.output.data import file_data
    from panellint.settings import Settings
    from panellint.source import Source

    chosen = Settings.for_path(path) if settings is None else settings
    return file_data(find(Source(text, path), chosen))
