"""Likely shares: between which two figures nine of ten foods with such a label lie.

An estimate from a stated model, never a proof. The model's figures are in
`rules/data/likely.yaml`.
"""
