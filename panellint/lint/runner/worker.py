"""One file of a run, from its path to its findings: what each process of a run does."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

from panellint.core.errors import Fault, InputError, PanellintError
from panellint.core.exit_codes import TRACEBACK, defect
from panellint.core.findings import Severity
from panellint.lint.runner.files import STANDARD_INPUT, source_of
from panellint.lint.runner.results import Checked

if TYPE_CHECKING:
    from panellint.lint.runner.policy import Policy


class Checker:
    """Lints a file by the settings that reach it; a call never raises.

    `named` is what standard input is called. `market` and `fail_at` stand above the
    settings where they are given; `fail_at` is a severity word, or "never". With `glance`,
    what is in each food is told as well. A `policy` stands in place of the settings in the work
    tree.
    """

    def __init__(
        self,
        market: str | None = None,
        fail_at: str | None = None,
        named: str | None = None,
        *,
        quick: bool = False,
        glance: bool = False,
        policy: Policy | None = None,
    ) -> None:
        self.market = market
        self.fail_at = fail_at
        self.named = named
        self.quick = quick
        self.glance = glance
        self.policy = policy

    def __call__(self, path: str) -> Checked:
        """Returns the findings of one file, or the faults that kept it from being used."""
        called = self.named or path if path == STANDARD_INPUT else path
        try:
            return self._checked(path, called)
        except InputError as error:
            shown = self.policy.shown if self.policy else lambda fault: fault
            return Checked(called, faults=tuple(map(shown, error.faults)))
        except PanellintError as error:
            return Checked(called, faults=(Fault(called, None, None, str(error)),))
        except Exception as error:
            if os.environ.get(TRACEBACK):
                raise
            return Checked(called, faults=(Fault(called, None, None, defect(error)),))

    def _checked(self, path: str, called: str) -> Checked:
        from panellint.analysis.context import LabelContext
        from panellint.lint.engine import lint_context
        from panellint.rulepacks.settings import Settings

        settings = self.policy.settings(called) if self.policy else Settings.for_path(called)
        source = source_of(path, self.named, settings)
        if self.market is not None:
            settings = settings.with_market(self.market)
        context = LabelContext.of(source, settings, quick=self.quick)
        result = lint_context(context, settings, quick=self.quick)
        fail_at: Severity | None = settings.fail_at
        if self.fail_at is not None:
            fail_at = None if self.fail_at == "never" else Severity(self.fail_at)
        seen = None
        if self.glance:
            from panellint.analysis.overview import glance

            seen = glance(context)
        return Checked(called, result, fail_at=fail_at, glance=seen)
