"""`panellint ingredient --new FILE`: a few questions, and the ingredient they make, written."""

import re
import tempfile
from pathlib import Path
from typing import Any

from panellint.catalogue import load
from panellint.catalogue.model import PARTS
from panellint.catalogue.rows import own_ingredients
from panellint.commands.new_rule import Questions
from panellint.core.errors import Fault, InputError
from panellint.output.atomic_file import write_whole
from panellint.rulepacks.new_rule import with_item

_ENDS = re.compile(r"\s*(\d+(?:\.\d+)?)\s*(?:\.\.|-|–|to|\s)\s*(\d+(?:\.\d+)?)\s*%?\s*")


def write_ingredient(file: str, questions: Questions) -> str:
    """Asks for an ingredient, writes it into the file, and returns what was done.

    Nothing is written where an answer or the file is not as it should be; raises InputError then.
    """
    path = Path(file)
    text = path.read_text(encoding="utf-8") if path.is_file() else ""
    ingredient = _ingredient(questions)
    questions.check_used()
    done = with_item(text, "ingredients", ingredient)
    with tempfile.TemporaryDirectory() as folder:
        draft = Path(folder, path.name or "ingredients.yaml")
        draft.write_text(done, encoding="utf-8")
        try:
            own_ingredients((draft,), load())
        except InputError as error:
            moved = [Fault(file, f.line, f.column, f.message, f.expected) for f in error.faults]
            raise InputError(*moved) from None
    path.parent.mkdir(parents=True, exist_ok=True)
    write_whole(file, done)
    return (
        f"“{ingredient['name']}”, a kind of {ingredient['kind-of']}, was added to {file}.\n"
        "Name the file under `ingredients:` in panellint.yaml.\n"
    )


def _ingredient(questions: Questions) -> dict[str, Any]:
    name = questions.ask("name", "Its name, as labels print it")
    language = questions.ask("language", "The language of the name", "en")

    def kind(answer: str) -> str:
        if load().named(answer, language):
            return answer
        near = ", ".join(load().suggest(answer, language=language))
        raise ValueError(f"the catalogue knows no “{answer}”{near and f'; nearest: {near}'}")

    ingredient: dict[str, Any] = {
        "name": name,
        "language": language,
        "kind-of": questions.ask_until("kind-of", "What it is a kind of", kind),
        "figures": {},
    }
    for part in PARTS:
        question = f"{part.capitalize()} as added, %, least to most (empty: as of its kind)"
        if ends := questions.ask_until(part, question, _ends, ""):
            ingredient["figures"][part] = ends
    ingredient["source"] = questions.ask("source", "Where the figures are from")
    if language == "en":
        del ingredient["language"]
    return {key: value for key, value in ingredient.items() if value != {}}


def _ends(answer: str) -> list[float]:
    if not answer:
        return []
    if not (match := _ENDS.fullmatch(answer)):
        raise ValueError(f"“{answer}”: two numbers are expected, such as 62 to 68")
    return [int(end) if end.is_integer() else end for end in map(float, match.groups())]
