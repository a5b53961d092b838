"""Label meets catalogue: what each declared name and each name in free text refers to."""
