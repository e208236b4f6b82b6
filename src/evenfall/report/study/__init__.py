"""A study of many films: its tables and their dictionary, what they come to by group, and the page that shows it.

Pure: values in, rows and pages out. Conventions as in `evenfall.report.dataset`: SI units, what is not known is empty.
"""

from evenfall.report.study.collecting import Collector, Summary
from evenfall.report.study.columns import CLIPS, FAILURES, NUMBERS, STRIDES, STUDY
from evenfall.report.study.data import summary_data
from evenfall.report.study.dictionary import study_page
from evenfall.report.study.page import summary_page
from evenfall.report.study.rows import answer_rows
from evenfall.report.study.spread import Spread, spread_of

__all__ = [
    "CLIPS",
    "FAILURES",
    "NUMBERS",
    "STRIDES",
    "STUDY",
    "Collector",
    "Spread",
    "Summary",
    "answer_rows",
    "spread_of",
    "study_page",
    "summary_data",
    "summary_page",
]
