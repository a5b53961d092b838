"""What `panellint rule --checks` answers: what each check looks at and takes."""

from __future__ import annotations

import inspect
import textwrap
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from panellint.core.phrases import shown
from panellint.core.text import one_line
from panellint.rulepacks import registry
from panellint.rulepacks.parameters import REQUIRED, Parameter

if TYPE_CHECKING:
    from panellint.results.rules import CheckData, ParameterData


def checks(name: str | None = None) -> list[CheckData]:
    """Returns every check of ours and of installed packages by name, or the one named. Raises
    UnknownCheck, with the nearest name."""
    return [_data(one) for one in ([name] if name else registry.names())]


def _data(name: str) -> CheckData:
    check = registry.find(name)
    declaration = registry.declaration(name)
    doc = inspect.getdoc(check.function) or ""
    return {
        "check": name,
        "title": one_line(doc.partition("\n\n")[0]),
        "needs": registry.NEEDS.get(name, "label"),
        "parameters": [_parameter(one) for one in declaration.parameters] if declaration else [],
        "variants": list(declaration.variants) if declaration else [],
    }


def _parameter(one: Parameter) -> ParameterData:
    required = one.default is REQUIRED
    return {
        "name": one.name,
        "type": str(one.type),
        "unit": one.unit,
        "meaning": one.meaning,
        "required": required,
        "default": None if required else one.default,
        "values": list(one.values),
        "fields": [_parameter(field) for field in one.fields],
    }


def text(found: Iterable[CheckData], width: int) -> str:
    """Returns checks as plain text: the name, what it looks at, and each parameter."""
    return "\n".join("\n".join(_lines(one, width)) + "\n" for one in found)


def _lines(check: CheckData, width: int) -> Iterator[str]:
    needs = "" if check["needs"] == "label" else f" (needs a {check['needs']})"
    yield f"{check['check']}{needs}"
    yield from _wrapped(check["title"], width, 2)
    for one in check["parameters"]:
        yield from _parameter_lines(one, width, 4)
    if check["variants"]:
        listed = ", ".join(f"“{variant}”" for variant in check["variants"])
        yield from _wrapped(f"Texts of their own for: {listed}.", width, 2)


def _parameter_lines(one: ParameterData, width: int, indent: int) -> Iterator[str]:
    kind = f"{one['type']}, {one['unit']}" if one["unit"] else one["type"]
    if one["values"]:
        kind += f" ({' | '.join(one['values'])})"
    if not one["required"]:
        usual = one["default"]
        kind += f"; by default {shown(usual)}" if usual or usual == 0 else "; may be left out"
    yield from _wrapped(f"{one['name']}: {kind}", width, indent)
    yield from _wrapped(one["meaning"], width, indent + 4)
    for field in one["fields"]:
        yield from _parameter_lines(field, width, indent + 4)


def _wrapped(text: str, width: int, indent: int) -> list[str]:
    pad = " " * indent
    return textwrap.wrap(text, width, initial_indent=pad, subsequent_indent=pad)
