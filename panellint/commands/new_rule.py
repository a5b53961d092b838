"""`panellint rule --new PACK`: a few questions, and the rule they make, tried and written."""

import tempfile
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import click

from panellint.core.errors import Fault, InputError, PanellintError
from panellint.core.text import one_line
from panellint.output.atomic_file import write_whole
from panellint.rulepacks import new_rule, packs, registry
from panellint.rulepacks.parameters import REQUIRED, Parameter, Type
from panellint.rulepacks.settings import Settings

#: What a rule of a brand is about most of the time, with the check that looks at it.
SUBJECTS = {
    "an ingredient": "barred-ingredient",
    "words in the ingredient list": "list-words",
    "words in the name or the claims": "claim-words",
    "words anywhere on the label": "label-words",
    "a part that the label must carry": "label-part",
}
#: Answers that need no question where the check is asked for by its subject.
_USUAL = {
    "barred-ingredient": {"certainty": "practice"},
    "list-words": {"certainty": "practice", "whole": "no", "bare": "no"},
}
_SAYS = {
    "barred-ingredient": "{name} stands in the list.",
    "list-words": "“{words}” stands in the list.",
    "claim-words": "“{words}” is not said.",
    "label-words": "“{words}” stands here.",
    "label-part": "The label does not carry it.",
}


class Questions:
    """Answers given on the command line, the others asked for on the terminal.

    Without a terminal a missing answer is an InputError that names its key.
    """

    def __init__(self, given: tuple[str, ...], is_terminal: bool) -> None:
        self.is_terminal = is_terminal
        self.given: dict[str, str] = {}
        for item in given:
            key, sign, value = item.partition("=")
            if not sign:
                raise click.UsageError(f"--answer {item}: KEY=ANSWER is expected")
            self.given[key] = value
        self.used: set[str] = set()

    def ask(self, key: str, question: str, default: str | None = None) -> str:
        """Returns the answer to a question."""
        self.used.add(key)
        if key in self.given:
            return self.given[key]
        if not self.is_terminal:
            if default is not None:
                return default
            message = f"no answer to “{question.splitlines()[0]}”"
            raise InputError(Fault("command", None, None, message, f"--answer {key}=..."))
        return str(click.prompt(question, default=default, err=True, show_default=bool(default)))

    def ask_until(
        self, key: str, question: str, read: Callable[[str], Any], default: str | None = None
    ) -> Any:
        """Returns what `read` makes of the answer; asks again where it raises ValueError."""
        while True:
            answer = self.ask(key, question, default)
            try:
                return read(answer)
            except ValueError as error:
                if key in self.given or not self.is_terminal:
                    raise InputError(Fault("command", None, None, f"{key}: {error}")) from None
                click.echo(str(error), err=True)

    def check_used(self) -> None:
        """Raises UsageError for answers that answer nothing."""
        unused = sorted(self.given.keys() - self.used)
        if unused:
            raise click.UsageError(f"--answer {unused[0]}=...: no question has this key.")


def write_rule(pack: str, questions: Questions) -> str:
    """Asks for a rule, tries its examples, writes it into the pack, and returns what was done.

    Nothing is written where an answer, the pack or an example is not as it should be; raises
    InputError then.
    """
    from panellint.lint.runner.examples import try_pack

    path = Path(pack)
    text = path.read_text(encoding="utf-8") if path.is_file() else ""
    own = Settings.for_path(path).ingredients
    rule = _rule(questions, own)
    questions.check_used()
    with tempfile.TemporaryDirectory() as folder:
        draft = Path(folder, path.name or "pack.yaml")

        def tried(drafted: Mapping[str, Any]) -> Any:
            draft.write_text(
                new_rule.with_item(text, "rules", drafted, f"pack: {path.stem}"), encoding="utf-8"
            )
            packs.forget()
            try:
                trials = try_pack(draft, (), own)
            except InputError as error:
                raise InputError(*(_moved(fault, path) for fault in error.faults)) from None
            return [trial for trial in trials if trial.rule.id == drafted["id"]]

        failing = next(trial for trial in tried(rule) if trial.kind == "fails")
        rule["examples"]["fails"][0]["marks"] = [
            one_line(failing.text[finding.span.start : finding.span.end])
            for finding in failing.findings
        ]
        if not failing.findings:
            message = "the rule finds no fault with the text that should break it"
            raise InputError(Fault(str(path), None, None, message, "words that it is about"))
        wrong = [trial for trial in tried(rule) if trial.problem]
        if wrong:
            raise InputError(*(Fault(str(path), None, None, str(trial)) for trial in wrong))
        done = draft.read_text(encoding="utf-8")
    path.parent.mkdir(parents=True, exist_ok=True)
    write_whole(str(path), done)
    marks = ", ".join(f"“{mark}”" for mark in rule["examples"]["fails"][0]["marks"])
    return (
        f"Rule `{rule['id']}` was added to {path}; its failing example marks {marks}.\n"
        f"Try the pack with `panellint rule --try {path}`, and name it under `packs:` in "
        "panellint.yaml.\n"
    )


def _moved(fault: Fault, path: Path) -> Fault:
    return Fault(str(path), None, None, fault.message, fault.expected)


def _rule(questions: Questions, own: tuple[Path, ...]) -> dict[str, Any]:
    answers: dict[str, str] = {}
    subjects = "\n".join(f"  {n}  {subject}" for n, subject in enumerate(SUBJECTS, 1))
    question = f"What is the rule about?\n{subjects}\n  or the name of a check"
    answers["check"] = questions.ask_until("check", question, _check)
    check = answers["check"]
    usual = _USUAL.get(check, {})
    declaration = registry.declaration(check)
    given = {}
    for parameter in declaration.parameters if declaration else ():
        if parameter.name in usual and parameter.name not in questions.given:
            given[parameter.name] = new_rule.value_of(usual[parameter.name], parameter)
        elif parameter.default is REQUIRED:
            given[parameter.name] = _parameter(questions, parameter, own)
        elif parameter.type not in (Type.TABLE, Type.ROWS, Type.GROUP):
            value = _parameter(questions, parameter, own, "")
            given |= {parameter.name: value} if value is not None else {}
    answers["title"] = questions.ask("title", "What must hold, in one sentence")
    answers["id"] = questions.ask("id", "Its id", new_rule.id_of(answers["title"]))
    for key, question, default in (
        ("severity", "How grave is a breach (error, warning, information, hint)", "warning"),
        ("says", "What the finding says", _SAYS.get(check)),
        ("because", "Why the rule is there", None),
        ("document", "The law, guide or book it stands in (empty: a rule of your own)", ""),
    ):
        answers[key] = questions.ask(key, question, default)
    if answers["document"]:
        answers["section"] = questions.ask("section", "Section", "")
        answers["edition"] = questions.ask("edition", "Edition or date", "")
    answers["market"] = questions.ask("market", "For one market alone (us, eu, uk, ca)", "")
    answers["passes"] = questions.ask("passes", r"Label text that is in order (\n: a new line)")
    answers["fails"] = questions.ask("fails", r"Label text that breaks the rule (\n: a new line)")
    return new_rule.rule_of(answers, given)


def _check(answer: str) -> str:
    if answer.isdigit() and 0 < int(answer) <= len(SUBJECTS):
        return list(SUBJECTS.values())[int(answer) - 1]
    try:
        return registry.find(answer).name
    except PanellintError as error:
        raise ValueError(str(error)) from None


def _parameter(
    questions: Questions, parameter: Parameter, own: tuple[Path, ...], default: str | None = None
) -> Any:
    """Returns the value of a parameter, None where an empty answer leaves it out. Ingredients are
    named; what the catalogue does not know is searched for as words."""
    question = parameter.meaning.rstrip(".")
    if parameter.values:
        question += f" ({', '.join(parameter.values)})"
    elif parameter.type in (Type.TEXTS, Type.WORDS, Type.INGREDIENTS):
        question += " (with commas)"
    elif parameter.unit:
        question += f" ({parameter.unit})"
    if default == "":
        question += " (empty: does not matter)"

    def value(answer: str) -> Any:
        if not answer and default == "":
            return None
        is_choice = parameter.type is Type.INGREDIENTS
        return _ingredients(answer, own) if is_choice else new_rule.value_of(answer, parameter)

    return questions.ask_until(parameter.name, question, value, default)


def _ingredients(answer: str, own: tuple[Path, ...]) -> list[dict[str, Any]]:
    from panellint.catalogue import load

    catalogue = load(own)
    ids: list[str] = []
    words: list[str] = []
    for name in (word.strip() for word in answer.split(",")):
        match = catalogue.lookup(name) if name else None
        if match is not None and match.how == "listed":
            ids.append(match.known.id)
        elif name:
            words.append(name)
    return [*([{"id": ids}] if ids else []), *([{"words": words}] if words else [])]
