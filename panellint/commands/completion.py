"""What a shell completes: files, rule ids, names of ingredients, markets.

Loaded only while a shell asks. Where an argument is a file, the shell's own completion of files is
used.
"""

import click
from click.shell_completion import CompletionItem

_FILES = frozenset({"paths", "path", "label", "batch", "old", "new", "base", "added", "folder"})
_MOST = 50


class _Words(click.ParamType):  # type: ignore[type-arg]
    """A word of a known kind; any other is taken as well."""

    def __init__(self, kind: str) -> None:
        self.name = kind

    def shell_complete(
        self, ctx: click.Context, param: click.Parameter, incomplete: str
    ) -> list[CompletionItem]:
        """Returns the words that begin so; of a list with commas, its last word."""
        before, comma, typed = incomplete.rpartition(",")
        words = [word for word in _known(self.name) if word.startswith(typed.lower())]
        return [CompletionItem(f"{before}{comma}{word}") for word in words[:_MOST]]


def _known(kind: str) -> list[str]:
    from panellint.rulepacks.settings import Settings, markets

    if kind == "market":
        return list(markets())
    if kind == "rule":
        return list(Settings.for_path(".").rules)
    from panellint.catalogue import load

    return list(load().table("en"))


def made_completable(name: str, command: click.Command) -> None:
    """Gives the parameters of a command what a shell needs to complete them."""
    for param in command.params:
        if param.name == "market":
            param.type = _Words("market")
        elif param.name in ("selected", "ignored") or (name, param.name) == ("rule", "names"):
            param.type = _Words("rule")
        elif name in ("ingredient", "trace") and param.name == "name":
            param.type = _Words("ingredient")
        elif param.name in _FILES or getattr(param, "metavar", None) == "FILE":
            param.type = click.Path()
