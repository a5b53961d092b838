"""Rules applied to one label and to many."""
