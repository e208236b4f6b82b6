"""Sheets for the barn: farrier sheet, owner's page, acceptance card, vet-line card; one value for paper and page."""

from evenfall.report.sheets.model import (
    Grid,
    Head,
    Lines,
    Notice,
    Part,
    Picture,
    PictureRow,
    Sheet,
    Sign,
    Words,
)

__all__ = ["Grid", "Head", "Lines", "Notice", "Part", "Picture", "PictureRow", "Sheet", "Sign", "Words"]
