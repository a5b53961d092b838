"""The checks, one file per subject.

A check is `check(context: LabelContext, rule: Rule) -> Iterable[Observation]`. It yields what it
sees and how sure that is; severity and wording are its rule's. The table of checks is
`panellint.rulepacks.registry`; nothing is imported here, so that a run loads the checks that its
rules name and no other.
"""
