"""The study's tables as a page to read: ``docs/reference/study-files.md``."""

from evenfall.report.dataset import table_lines
from evenfall.report.study.columns import STUDY

__all__ = ["study_page"]

HEAD = """# The files of a study

What `evenfall study FOLDER --out DIR` writes into DIR. Made from `src/evenfall/report/study/` by `make docs`; change that, not this
page. How to make one: [study many films](../howto/study-many-films.md).

| file | what |
|---|---|
| `summary.html` | one page to look at, print and send: what was read, how it spreads by group, what was not read and why |
| `clips.parquet`, `clips.csv` | one row a film |
| `strides.parquet` | one row a stride, of the films with an answer |
| `numbers.parquet` | one row a measured number of a film, with spread, count, interval, or why there is none |
| `failures.parquet`, `failures.csv` | one row a film without an answer, with the reason; also what could not be looked into |
| `datapackage.json` | the same for programs, after the open Data Package standard: columns, units, lengths, SHA-256 |
| `data-dictionary.md` | this page |
| `study.json`, `parts/` | what the study was asked for, and one small result a film: by these it goes on where it stopped |

The tables depend on the films, their contacts, the settings, the groups file and the version alone: not on the order in which films were
read, on how many workers, on a pool or a cluster, or on how often the run was stopped. Rows stand in order of the films' names; the same
rows are the same bytes. Films whose bytes, contacts and settings have not changed are not read again.

A part is named by a hash of the film's place in the folder, its length and time of change, those of its contacts file, its settings, and
the version that read it. The bytes themselves are hashed when the film is read, and stand in the column `sha256`; a film that was only
copied or touched is therefore read again. A part that is damaged is noticed and read again.

SI units. Times are seconds on the clip's clock unless the unit says real seconds. What was not said or could not be measured is empty.
"""

CODES = """## Why a film has no answer

| code | what | tried again by the next run |
|---|---|---|
| `too_little_evidence` | it was read and carries no answer; the reason says what film would | no |
| `unreadable_clip` | damaged, cut off, or no film | no |
| `bad_contacts` | its contacts file breaks its contract, or contradicts itself or the film | no |
| `wrong_setting` | a capture rate that cannot be | no |
| `unreadable_file` | its file, or its contacts file, could not be opened: gone, or no leave | yes |
| `too_long` | it took longer than `--longest` | yes |
| `worker_died` | the process that read it ended twice with it: short of memory, stuck, or a fault | yes |
| `unexpected` | a fault of Evenfall's own | yes |
| `unreadable_folder` | a folder that could not be looked into; has no `clip` | it is looked at anew |
| `link_not_followed` | a link to a folder: name the folder it leads to | it is looked at anew |
| `no_file` | the name of a film that is no file: a link that leads nowhere, a pipe | it is looked at anew |
| `film_missing` | named in the groups file and not among the films | it is looked at anew |
"""


def study_page() -> str:
    """Write the page."""
    return "\n".join([HEAD, *(line for table in STUDY for line in table_lines(table, copies=False)), CODES])
