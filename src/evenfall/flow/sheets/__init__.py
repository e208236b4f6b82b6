"""The sheets of a horse, made of what the barn's record holds today."""

from evenfall.flow.sheets.making import KINDS, html_name, month_of, months_of, pdf_name, sheet_of

__all__ = ["KINDS", "html_name", "month_of", "months_of", "pdf_name", "sheet_of"]
