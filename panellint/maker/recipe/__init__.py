"""Recipes as they are worked, step by step, from the maker's own materials."""
