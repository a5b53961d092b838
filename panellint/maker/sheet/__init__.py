"""Batch sheets: CSV and XLSX cells to named rows with weights."""
