"""What the models refuse, as faults with line and column and the nearest right word."""

from collections.abc import Iterable, Iterator
from contextlib import suppress
from types import UnionType
from typing import Annotated, Any, TypeVar, Union, get_args, get_origin

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from panellint.core.errors import Fault
from panellint.core.phrases import listed, nearest
from panellint.rulepacks.compile.yaml_source import Document, Loc

M = TypeVar("M", bound=BaseModel)

_KINDS = {
    "string_type": "a text",
    "int_type": "a whole number",
    "float_type": "a number",
    "bool_type": "true or false",
    "list_type": "a list",
    "dict_type": "keys and values",
    "model_type": "keys and values",
    "model_attributes_type": "keys and values",
}


def validated(document: Document, model: type[M], given: Any = None, at: Loc = ()) -> M | None:
    """Returns the document, or what is `given` at a place of it, as `model`; or None with what is
    wrong added to its faults."""
    data = document.data if given is None else given
    try:
        return model.model_validate({} if data is None else data, context={"own": document.own})
    except ValidationError as error:
        details = error.errors(include_url=False)
        document.faults += dict.fromkeys(_fault(document, model, detail, at) for detail in details)
        return None


def items(document: Document, key: str, model: type[M]) -> Iterator[tuple[int, M]]:
    """Yields the good ones of a list in a document of which others were refused."""
    rows = document.data.get(key) if isinstance(document.data, dict) else None
    for index, item in enumerate(rows if isinstance(rows, list) else []):
        with suppress(ValidationError):
            yield index, model.model_validate(item)


def unknown(
    document: Document, loc: Loc, what: str, word: str, words: Iterable[str], *, key: bool = False
) -> None:
    """Refuses a word that is none of `words`: names the nearest, or all where they are few."""
    document.refuse(loc, f"unknown {what} `{word}`", suggestion(word, words), key=key)


def suggestion(word: str, words: Iterable[str]) -> str:
    """Returns what was expected in place of `word`."""
    known = list(words)
    near = nearest(word, known)
    if near is not None:
        return f"`{near}`"
    return listed((f"`{word}`" for word in known), "or") if len(known) <= 12 else ""


def key_text(loc: Loc) -> str:
    """Returns a place in the document by its keys: `rules[2].severity.proven`."""
    text = ""
    for part in loc:
        text += f"[{part + 1}]" if isinstance(part, int) else f".{part}" if text else part
    return text


def _fault(document: Document, model: type[BaseModel], detail: ErrorDetails, at: Loc = ()) -> Fault:
    own, kind = detail["loc"], detail["type"]
    of_key = own[-1:] == ("[key]",)
    loc = at
    for part in own:
        # One item that stands for a list has no number of its own.
        if not isinstance(part, int) or (*loc, part) in document.values:
            loc = (*loc, part)
    if kind == "missing":
        message = f"key `{loc[-1]}` is missing{_inside(loc[:-1])}"
        return document.fault(loc[:-1], message)
    if kind == "extra_forbidden":
        keys = _keys(model, own[:-1])
        message = f"unknown key `{loc[-1]}`{_inside(loc[:-1])}"
        return document.fault(loc, message, suggestion(str(loc[-1]), keys), key=True)
    while loc and loc not in document.values:
        loc = loc[:-1]
    name = key_text(loc) or "the file"
    given = detail["input"]
    shown = f"`{name}` is {_shown(given)}"
    context = detail.get("ctx", {})
    if kind == "literal_error":
        words = [word.strip("'") for word in context["expected"].replace(" or ", ", ").split(", ")]
        words = [word for word in words if word]
        near = nearest(given, words) if isinstance(given, str) else None
        expected = listed(words, "or")
        return document.fault(
            loc, shown, f"{expected}; did you mean `{near}`?" if near else expected
        )
    if kind == "unknown_word":
        expected = suggestion(str(given), context["words"])
        message = f"unknown {context['what']} `{given}`"
        return document.fault(loc, message, expected, key=of_key)
    if kind == "refused":
        return document.fault(loc, context["message"])
    if kind == "string_pattern_mismatch" and given and str(given).strip():
        return document.fault(loc, shown, "lower-case words joined by hyphens")
    if kind in ("string_too_short", "string_pattern_mismatch"):
        return document.fault(loc, f"`{name}` is empty", "a text")
    if kind in ("too_short", "too_long") and given:
        needed = context.get("min_length") or context["max_length"]
        return document.fault(loc, f"`{name}` holds {len(given)}", f"{needed}")
    if kind == "too_short":
        return document.fault(loc, f"`{name}` is empty", "at least one")
    return document.fault(loc, shown, _KINDS.get(kind, detail["msg"]))


def _inside(loc: Loc) -> str:
    return f" in `{key_text(loc)}`" if loc else ""


def _shown(value: object) -> str:
    if isinstance(value, dict):
        return "keys and values"
    if isinstance(value, list):
        return "a list"
    if value is None:
        return "empty"
    if isinstance(value, bool):
        return "true" if value else "false"
    text = str(value)
    return f"`{text[:40]}...`" if len(text) > 40 else f"`{text}`"


def _keys(model: type[BaseModel], loc: Loc) -> list[str]:
    """Returns the keys that the mapping at `loc` may have."""
    at: Any = model
    for part in loc:
        fields = at.model_fields if _is_model(at) else {}
        named = {field.alias or name: field for name, field in fields.items()}
        if _is_model(at) and part in named:
            at = _bare(named[str(part)].annotation)
        elif get_origin(at) in (list, dict):
            at = _bare(get_args(at)[-1])
    if not _is_model(at):
        return []
    return [field.alias or name for name, field in at.model_fields.items()]


def _is_model(at: Any) -> bool:
    return isinstance(at, type) and issubclass(at, BaseModel)


def _bare(annotation: Any) -> Any:
    """Returns the type itself, without what annotates it and without "or None"."""
    while get_origin(annotation) is Annotated:
        annotation = get_args(annotation)[0]
    if get_origin(annotation) in (Union, UnionType):
        return _bare(next(arg for arg in get_args(annotation) if arg is not type(None)))
    return annotation
