"""Templates of pages and panel files: one way in which they are set up."""

from collections.abc import Callable
from functools import cache
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined

Shown = Callable[[object], object]


@cache
def templates(
    folder: Path, *filters: Callable[..., object], shown: Shown | None = None, pages: bool = True
) -> Environment:
    """Returns the templates of a folder, with functions as filters by their names. Those of pages
    escape all that is no markup of our own; `shown` says how a value is shown. A name that is not
    given is an error, never empty."""
    environment = Environment(
        loader=FileSystemLoader(folder),
        autoescape=pages,
        finalize=shown,
        undefined=StrictUndefined,
        keep_trailing_newline=True,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters |= {function.__name__: function for function in filters}
    return environment
