"""A rule made of answers, with its source and two examples; an item written into a file."""

import re
from collections.abc import Mapping
from typing import Any

import yaml

from panellint.rulepacks.parameters import Parameter, Type

#: Words that no id ends with.
_SMALL_WORDS = frozenset("a an and among at by for from in is no of on or the to with".split())


def rule_of(answers: Mapping[str, str], parameters: Mapping[str, Any]) -> dict[str, Any]:
    """Returns a rule, as a pack has it, of the answers to the questions of `rule --new`."""
    rule: dict[str, Any] = {
        "id": answers["id"],
        "title": answers["title"],
        "check": answers["check"],
        "severity": answers["severity"],
        "with": dict(parameters),
        "says": answers["says"],
        "because": answers["because"],
        "source": _source(answers),
        "examples": {
            "passes": [_panel(answers["passes"])],
            "fails": [{"text": _panel(answers["fails"]), "marks": []}],
        },
    }
    if answers.get("market"):
        rule["for"] = {"market": answers["market"]}
    return {key: value for key, value in rule.items() if value != {}}


def _source(answers: Mapping[str, str]) -> dict[str, Any]:
    """Returns the source: a document that was read, or a rule of the trade."""
    document = answers.get("document", "")
    if not document:
        return {"practice": True}
    given = {key: answers[key] for key in ("section", "edition") if answers.get(key)}
    return {"document": document, **given, "seen": True}


def _panel(text: str) -> str:
    r"""Returns the text of an example, in which `\n` typed begins a new line."""
    return text.replace("\\n", "\n").strip() + "\n"


def value_of(answer: str, parameter: Parameter) -> Any:
    """Returns an answer as the value of a parameter: lists are parted by commas.

    Raises ValueError where it is of another type. A table or rows are answered as YAML.
    """
    if parameter.type in (Type.NUMBER, Type.COUNT):
        number = float(answer)
        return int(number) if number.is_integer() else number
    if parameter.type is Type.FLAG:
        if answer.lower() not in ("yes", "no", "true", "false"):
            raise ValueError("yes or no is expected")
        return answer.lower() in ("yes", "true")
    if parameter.type is Type.TEXT:
        return answer
    if parameter.type in (Type.TEXTS, Type.WORDS):
        return [part.strip() for part in answer.split(",") if part.strip()]
    try:
        return yaml.safe_load(answer)
    except yaml.YAMLError:
        raise ValueError(f"{parameter.type}, as in a pack, is expected") from None


def id_of(title: str) -> str:
    """Returns an id of a title: its first words, in small letters, joined by hyphens."""
    words = re.findall(r"[a-z0-9]+", title.lower())[:6]
    while len(words) > 1 and words[-1] in _SMALL_WORDS:
        words.pop()
    return "-".join(words).lstrip("0123456789-") or "rule"


def with_item(text: str, key: str, item: Mapping[str, Any], head: str = "") -> str:
    """Returns the text of a YAML file with one more item at the end of the list under a key; what
    stands there is kept as it is. An empty text begins with `head`."""
    lines = text.splitlines() or head.splitlines()
    at = next((n for n, line in enumerate(lines) if re.match(rf"{key}:\s*(?:#.*)?$", line)), None)
    if at is None:
        lines.append(f"{key}:")
        at = len(lines) - 1
    end = next((n for n in range(at + 1, len(lines)) if re.match(r"[^\s#-]", lines[n])), len(lines))
    while end > at + 1 and not lines[end - 1].strip():
        end -= 1
    indent = re.match(r"( *)-", lines[at + 1]) if end > at + 1 else None
    pad = indent[1] if indent else "  "
    written = yaml.dump(
        [dict(item)],
        Dumper=_Dumper,
        sort_keys=False,
        allow_unicode=True,
        width=96,
        default_flow_style=None,
    )
    new = [f"{pad}{line}".rstrip() for line in written.splitlines()]
    gap = [""] if end > at + 1 else []
    return "\n".join([*lines[:end], *gap, *new, *lines[end:]]) + "\n"


class _Dumper(yaml.SafeDumper):
    """Writes texts of several lines as they stand."""

    def increase_indent(self, flow: bool = False, indentless: bool = False) -> None:
        super().increase_indent(flow, False)


def _text(dumper: yaml.SafeDumper, text: str) -> yaml.ScalarNode:
    style = "|" if "\n" in text else None
    return dumper.represent_scalar("tag:yaml.org,2002:str", text, style=style)


_Dumper.add_representer(str, _text)
