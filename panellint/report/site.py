"""The static site of rules, ingredients, checks, commands and guides: pages that need nothing from
anywhere else."""

from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any

from panellint.core.text import harmless
from panellint.output.render_options import CAUTION
from panellint.output.templates import templates
from panellint.results.ingredient import IngredientEntry
from panellint.results.rules import CheckData, RuleData
from panellint.rulepacks.data import data

_TEMPLATES = Path(__file__).parent / "templates"


def pages(
    rules: Iterable[RuleData],
    ingredients: Iterable[IngredientEntry],
    checks: Iterable[CheckData],
    commands: Mapping[str, tuple[str, str]],
) -> Iterator[tuple[str, str]]:
    """Yields the path of each file of the site, and its text. `commands` has for each name its line
    and its help."""
    environment = templates(_TEMPLATES / "site", shown=_shown)

    def page(template: str, up: str = "../", **values: Any) -> str:
        return environment.get_template(f"{template}.html.j2").render(
            up=up, caution=CAUTION, **values
        )

    own_rules = sorted(rules, key=lambda row: row["rule"])
    own_checks = sorted(checks, key=lambda row: row["check"])
    known = {entry["known_as"]: entry for entry in ingredients}
    guides = data("words/guides")["guides"]
    lists = {
        "rules": ("Rule", [(rule["rule"], rule["title"]) for rule in own_rules]),
        "ingredients": ("Ingredient", [*map(_row, known.values())]),
        "checks": ("Check", [(check["check"], check["title"]) for check in own_checks]),
        "commands": ("Command", [(name, line) for name, (line, _) in commands.items()]),
    }
    named = [(guide["id"], guide["title"]) for guide in guides]
    counts = {folder: len(rows) for folder, (_, rows) in lists.items()}
    yield "page.css", (_TEMPLATES / "page.css").read_text(encoding="utf-8")
    yield "index.html", page("index", up="", guides=named, counts=counts)
    for folder, (what, rows) in lists.items():
        heading = folder.capitalize()
        yield f"{folder}/index.html", page("list", heading=heading, what=what, rows=rows)
    names = {check["check"] for check in own_checks}
    for rule in own_rules:
        yield f"rules/{rule['rule']}.html", page("rule", rule=rule, checks=names)
    for check in own_checks:
        of_it = [(row["rule"], row["title"]) for row in own_rules if row["check"] == check["check"]]
        yield f"checks/{check['check']}.html", page("check", check=check, rules=of_it)
    for id, entry in known.items():
        yield f"ingredients/{id}.html", page("ingredient", one=entry, known=known.keys())
    for name, (_, words) in commands.items():
        yield f"commands/{name}.html", page("command", name=name, help=words)
    for guide in guides:
        yield (
            f"guides/{guide['id']}.html",
            page("guide", heading=guide["title"], paragraphs=guide["paragraphs"]),
        )


def _shown(value: object) -> object:
    """Returns text with nothing in it that hides or turns a line round; line ends stay."""
    return "\n".join(map(harmless, value.split("\n"))) if type(value) is str else value


def _row(entry: IngredientEntry) -> tuple[str, str]:
    what = (entry["kind"], entry["origin"], entry["species"], entry["state"])
    return entry["known_as"], ", ".join(dict.fromkeys(word for word in what if word))
