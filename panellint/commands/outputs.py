"""The form of an output, and where it may go: never onto an input, nor a file that one names."""

from __future__ import annotations

import os
import re
from collections.abc import Iterator, Mapping
from itertools import chain
from typing import TYPE_CHECKING, Any

import click

from panellint.core.errors import Fault, InputError

if TYPE_CHECKING:
    from click.shell_completion import CompletionItem

#: Files that name others: labels, sheets, recipes and settings.
_TEXTS = (".panel", ".csv", ".yaml", ".yml")
#: So much of a file is searched for names.
_MUCH = 2_000_000


class FormAndFile(click.ParamType):  # type: ignore[type-arg]
    """A form, or FORM=FILE."""

    name = "form"

    def __init__(self, forms: tuple[str, ...]) -> None:
        self.forms = forms

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> tuple[str, str | None]:
        """Returns form and file; fails for a form that is not known."""
        form, equals, file = str(value).partition("=")
        if form not in self.forms or (equals and not file):
            self.fail(f"{value!r} is not one of {', '.join(self.forms)}, alone or with =FILE.")
        return form, file or None

    def shell_complete(
        self, ctx: click.Context, param: click.Parameter, incomplete: str
    ) -> list[CompletionItem]:
        """Returns the forms that begin so."""
        from click.shell_completion import CompletionItem

        return [CompletionItem(form) for form in self.forms if form.startswith(incomplete)]


def check_output(output: str, command: str, force: bool, values: Mapping[str, Any]) -> None:
    """Raises InputError where the output would replace what it must not."""
    if not os.path.isfile(output):
        return
    from panellint.output.atomic_file import is_earlier

    flat = [argument for v in values.values() for argument in (v if isinstance(v, tuple) else (v,))]
    named = (argument for argument in flat if isinstance(argument, str))
    inputs = list(chain.from_iterable(map(_files_of, named)))
    if any(os.path.samefile(output, file) for file in inputs):
        raise InputError(Fault(output, None, None, "is an input of this command"))
    for file in inputs:
        if _names(file, output):
            raise InputError(Fault(output, None, None, f"is named by {file}, an input"))
    if not force and not is_earlier(output, command):
        raise InputError(Fault(output, None, None, "is there already; --force replaces it"))


def _files_of(argument: str) -> Iterator[str]:
    """Yields the file that an argument names, or the files that a folder or a glob holds."""
    from glob import has_magic, iglob

    if os.path.isdir(argument):
        for folder, below, names in os.walk(argument):
            below[:] = [name for name in below if not name.startswith(".")]
            yield from (os.path.join(folder, name) for name in names if name.endswith(_TEXTS))
    elif os.path.isfile(argument):
        yield argument
    elif has_magic(argument):
        yield from filter(os.path.isfile, iglob(argument, recursive=True))


def _names(file: str, output: str) -> bool:
    """Returns whether a label, a sheet or a recipe names the output: its text holds the name of
    that file, and from its folder the words lead there."""
    name = os.path.basename(output)
    if not file.endswith(_TEXTS):
        return False
    with open(file, encoding="utf-8", errors="replace") as stream:
        text = stream.read(_MUCH)
    if name not in text:
        return False
    folder = os.path.dirname(os.path.abspath(file))
    words = re.findall(rf"[^\s\"',;:=]*{re.escape(name)}", text)
    return any(
        os.path.exists(there := os.path.join(folder, word)) and os.path.samefile(there, output)
        for word in words
    )
