"""The checks, one file per subject.

A check is `check(context: LabelContext, rule: Rule) -> Iterable[Observation]`. It yields what it
sees and how sure that is; severity and wording are its rule's. `panellint.rulepacks.registry`
names them all; nothing is imported here, so that a run loads the checks that its rules name and no other.
"""
