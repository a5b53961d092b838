"""The checks, one file per subject.

A check is `check(case: Case, rule: Rule) -> Iterable[Observation]`. It says what it saw and
how sure that is; severity and wording are its rule's. `panellint.rulepacks.registry` names them
all; nothing is imported here, so that a run loads the checks that its rules name and no other.
"""
