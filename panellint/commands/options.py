"""Options that several commands share, and what commands do alike with them."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Sequence
from functools import wraps
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple, TextIO, TypeVar

import click

from panellint.commands.outputs import FormAndFile, check_output
from panellint.core.errors import Fault, InputError
from panellint.core.findings import Severity
from panellint.core.text import harmless
from panellint.output.atomic_file import opened
from panellint.output.cells import page_text
from panellint.output.render_options import RenderOptions, wants_colour, width_of

if TYPE_CHECKING:
    from panellint.api import Label
    from panellint.core.source import Source
    from panellint.maker.model import Batch
    from panellint.output.document import Block
    from panellint.rulepacks.settings import Settings

Command = TypeVar("Command", bound=Callable[..., Any])
#: Yields an answer for people, as the blocks of a document.
View = Callable[[Any], "Iterable[Block]"]


class Request(NamedTuple):
    """What nearly every command is asked: the form of the output, the file it goes to, the market
    whose rules apply, what standard input is called; of a batch sheet the worksheet and the
    columns that count, and whether it goes unsaid how it was read; and whether a file that is
    there already may be replaced. `outputs` are all forms with their files, where a command can
    write several."""

    form: str
    output: str | None
    market: str | None
    named: str | None = None
    sheet: str | None = None
    columns: str | None = None
    quiet: bool = False
    force: bool = False
    outputs: tuple[tuple[str, str | None], ...] = ()

    def settings(self, path: str | Path) -> Settings:
        """Returns the settings that reach a path. Raises InputError where they are faulty."""
        from panellint.rulepacks.settings import Settings

        return Settings.for_path(path).with_market(self.market)

    def source(self, argument: str) -> Source:
        """Returns the text of an argument. Raises InputError where it cannot be read."""
        from panellint.lint.runner.files import source_of

        return source_of(argument, self.named)

    def label(self, argument: str) -> Label:
        """Returns the label of an argument. Raises InputError where it cannot be read."""
        from panellint.api import Label

        source = self.source(argument)
        return Label(source.text, source.path, self.settings(source.path))

    def labels(self, arguments: tuple[str, ...]) -> list[Label]:
        """Returns the labels of files, folders and globs, in the order of the arguments.

        Says on standard error what is ignored. Raises InputError with every fault at once.
        """
        from panellint.lint.runner.files import Ignored, find

        search = find(arguments, Ignored())
        faults = list(search.faults)
        labels = []
        for path in search.paths:
            try:
                labels.append(self.label(path))
            except InputError as error:
                faults += error.faults
        for path, reason in search.refused:
            note(f"{path}: not read: {reason}")
        for path, reason in search.left_out:
            note(f"{path}: left out by {reason}")
        if not (labels or faults):
            faults.append(Fault(arguments[0], None, None, "no label is left to read"))
        if faults:
            raise InputError(*faults)
        return labels

    def batch(self, argument: str) -> Batch:
        """Returns the batch sheet of an argument; how it was read is noted unless `quiet`.

        Raises InputError where it cannot be read.
        """
        from panellint.maker.batch import read_batch
        from panellint.maker.sheet.read import SheetChoice

        choice = SheetChoice.of(self.sheet or "", self.columns or "")
        batch = read_batch(argument, choice=choice)
        if not self.quiet:
            note_reading(batch)
        return batch

    def write(self, data: object, view: View | str = "", page: str = "", **more: object) -> None:
        """Writes an answer in the form that is asked for: through its view, which may be named and
        gets `more` then, or as JSON. `page` is what its page is a page of."""
        with opened(self.output) as stream:
            if self.form == "json" or not view:
                stream.write(as_json(data))
                return
            if isinstance(view, str):
                from panellint.output.document_template import view as view_of

                view = view_of(view, **more)
            if self.form == "markdown":
                from panellint.report import markdown

                stream.writelines(markdown.write(view(data)))
            elif self.form == "html":
                from panellint.report.page import page as page_of

                stream.write(page_text(page_of(view(data), page), stream))
            else:
                from panellint.output.terminal import write

                write(view(data), stream, render_options(stream))


def as_json(data: object) -> str:
    """Returns an answer as JSON text; an object says the version of its shape."""
    import json

    from panellint.output.schema import VERSION

    versioned = {"version": VERSION, **data} if isinstance(data, dict) else data
    return json.dumps(versioned, allow_nan=False, indent=1) + "\n"


def note(text: str) -> None:
    """Writes a line, or several, on standard error."""
    lines = map(harmless, text.split("\n"))
    click.echo("panellint: " + "\n".join(lines), err=True)


def note_reading(batch: Batch) -> None:
    """Writes on standard error what the headings of a sheet were taken for, and its doubts."""
    taken = [
        f"{heading.printed} as {heading.taken_for}"
        + (f" in {heading.unit}" if heading.unit else "")
        for heading in batch.headings
        if heading.taken_for
    ]
    unused = [heading.printed for heading in batch.headings if not heading.taken_for]
    if taken:
        rest = f"; not used: {', '.join(unused)}" if unused else ""
        sheet = f"[{batch.worksheet}]" if batch.worksheet else ""
        note(f"{batch.path}{sheet}: read {'; '.join(taken)}{rest}")
    for remark in batch.remarks:
        note(str(remark))


def render_options(stream: TextIO, **more: Any) -> RenderOptions:
    """Returns how an output may look on a stream: colour only on standard output."""
    colour = stream is sys.stdout and wants_colour(stream)
    return RenderOptions(colour=colour, width=width_of(stream), **more)


def request(
    *forms: str,
    market: bool = True,
    named: bool = False,
    batch: bool = False,
    several: bool = False,
) -> Callable[[Command], Command]:
    """Adds `--format` (the first form is the usual one), `--output`, and where asked for
    `--market`, `--as`, and what a batch sheet needs: `--sheet`, `--columns` and `--quiet`. The
    command gets them as one `request`, and returns the exit status (None for success). With
    `several`, `--format` may be given more than once, as FORM=FILE where it goes to a file.

    The output never replaces an input nor a file that an input names; another file that is there
    only with `--force`, or where it is as this command left it. Raises InputError where it would.
    """

    def decorate(command: Command) -> Command:
        @wraps(command)
        def called(*arguments: Any, **values: Any) -> Any:
            given = {name: values.pop(name) for name in Request._fields if name in values}
            asked = Request(**{"market": None, **given})
            if several:
                outputs = _outputs(given["form"], asked.output)
                asked = asked._replace(form=outputs[0][0], outputs=outputs)
            files = [file for _, file in asked.outputs or ((asked.form, asked.output),) if file]
            for file in files:
                check_output(file, command.__name__, asked.force, values)
            status = command(*arguments, request=asked, **values)
            _remember(files, command.__name__)
            if status:
                raise click.exceptions.Exit(status)
            return status

        options = [_several(forms) if several else _format(forms), _output, _force]
        options += [_market] * market + [_named] * named + [*_batch] * batch
        for option in reversed(options):
            called = option(called)
        return called  # type: ignore[return-value]

    return decorate


def _remember(files: Iterable[str], command: str) -> None:
    """Remembers what the command wrote, so that it may write it anew."""
    for file in files:
        from panellint.output.atomic_file import remember

        remember(file, command)


def option(
    spec: str, says: str, to: str | None = None, **more: Any
) -> Callable[[Command], Command]:
    """Makes an option of its names and the word for its value ("-o, --output FILE"); without such
    a word it is a flag. The command gets it as `to`, else as its long name."""
    names = [word.rstrip(",") for word in spec.split()]
    if names[-1].startswith("-"):
        more["is_flag"] = True
    else:
        more["metavar"] = names.pop()
    return click.option(*names, *([to] if to else []), help=says, **more)


def choice(
    *names: str, of: Sequence[str], says: str, usual: str | None = None
) -> Callable[[Command], Command]:
    """Makes an option that takes one of a few words; the usual one is shown."""
    shown = usual is not None
    return click.option(*names, type=click.Choice(of), default=usual, show_default=shown, help=says)


def _format(forms: tuple[str, ...]) -> Callable[[Command], Command]:
    says = "The form of the output."
    return choice("-f", "--format", "form", of=forms, says=says, usual=forms[0])


def _several(forms: tuple[str, ...]) -> Callable[[Command], Command]:
    says = (
        f"The form of the output: {', '.join(forms)}. With =FILE it goes there; several may be "
        f"given.  [default: {forms[0]}]"
    )
    more = {"type": FormAndFile(forms), "multiple": True, "default": [forms[0]]}
    return option("-f, --format FORM[=FILE]", says, "form", **more)


def _outputs(
    forms: Iterable[tuple[str, str | None]], output: str | None
) -> tuple[tuple[str, str | None], ...]:
    """Returns each form with its file; the one that names none has `output`, or standard output."""
    outputs = tuple((form, file or output) for form, file in forms)
    files = [file for _, file in outputs]
    if len(set(files)) < len(files):
        raise click.UsageError("Two outputs cannot go to one place: give FORM=FILE.")
    return outputs


_output = option(
    "-o, --output FILE", "Write there instead of standard output; the file is whole or untouched."
)


def known_market(_ctx: click.Context, _option: click.Parameter, word: str | None) -> str | None:
    """Returns a market in small letters. Raises InputError, with the nearest, for one that is not
    known."""
    if word is None:
        return None
    from panellint.rulepacks.settings import Settings

    return Settings().with_market(word.lower()).chosen_market


_market = option(
    "--market MARKET",
    "Whose rules apply (us, eu, uk, ca), above what label and settings say.",
    callback=known_market,
)

_named = option(
    "--as FILE", "What standard input is called, in the output and for the settings.", "named"
)

fail_at = choice(
    "--fail-at",
    of=[*(word.value for word in Severity), "never"],
    says="The mildest severity that makes the exit status 1 (settings, else warning).",
)

explain = option("--explain", "Add to each finding its reason and its whole proof.")

_force = option("--force", "Let --output replace a file that is there already.")

_batch = (
    option("--sheet NAME", "The worksheet that holds the formula."),
    option(
        "--columns KIND=HEADING,...",
        "Which columns count: name=Item,weight=Actual kg,decimal=comma.",
    ),
    option("--quiet", "Leave out how the sheet was read."),
)

worst = option("--worst", "Take the ends of the composition ranges, not the estimates.")

species = choice(
    "--species", of=("dog", "cat"), says="The animal, where label or sheet do not say it."
)


class _Weight(click.ParamType):  # type: ignore[type-arg]
    """A body weight in kg: "20", "20 kg", "44lb"."""

    name = "weight"

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> float:
        """Returns kilograms; a figure without a unit is taken as such."""
        if isinstance(value, float):
            return value
        from panellint.label.amounts import body_weight_in

        kilograms = body_weight_in(str(value))
        if kilograms is None:
            self.fail(f"{value!r} is no body weight; write such as 20kg or 44lb", param, ctx)
        return kilograms


WEIGHT = _Weight()

body_weight = option(
    "--body-weight WEIGHT",
    "The animal's weight (20kg, 44lb; kg where no unit stands), for portions and costs.",
    type=WEIGHT,
)

life = option(
    "--life WORD",
    "How the animal lives: adult, neutered, intact, senior, active, puppy-to-half...",
    default="adult",
    show_default=True,
)


def animal(command: Command) -> Command:
    """Adds the options on the animal: `--body-weight`, `--species` and `--life`."""
    return body_weight(species(life(command)))


def finished_food(command: Command) -> Command:
    """Adds `--moisture` and `--yield`, which the command gets as `moisture` and `finished`."""
    moisture = option("--moisture PERCENT", "Moisture of the finished food.", type=float)
    finished = option(
        "--yield PERCENT", "Finished food, of the mix's weight.", "finished", type=float
    )
    return moisture(finished(command))
