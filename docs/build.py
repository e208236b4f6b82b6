"""Make the parts of the documents that come from the code: ``make docs``.

The page of names and goals is written from the data files, the data dictionary from its columns; the pictures are drawn from the first horse
of the made-up barn.
"""

import tempfile
from pathlib import Path

import cv2

from evenfall.clip import open_clip, pictures
from evenfall.demo import BARN, make_horse
from evenfall.gait import goals, trade_names
from evenfall.report.dataset import dictionary_page

HERE = Path(__file__).parent


def names_and_goals() -> str:
    """Write the data files of names and goals as a page."""
    lines = [
        "# Names and goals",
        "",
        "Made from `src/evenfall/gait/data/` by `make docs`; change the data files, not this page.",
        "",
        "## Names of gaits",
        "",
        "| name | breed | what it is | lateral phase, % | by duty | stride, s | source | range from |",
        "|---|---|---|---|---|---|---|---|",
    ]
    for name in trade_names():
        stride = "–".join(f"{s:g}" for s in name.stride_s) if name.stride_s else "any"
        phase = " to ".join(f"{p:g}" for p in name.phase_pct)
        lines.append(
            f"| {name.name} | {name.breed} | {name.definition} | {phase} | {name.by_duty or 'either'} | {stride} "
            f"| {name.source} | {name.range_from} |"
        )
    lines += [
        "",
        "## Goals",
        "",
        "| goal | middle, % | band, % | where the numbers come from |",
        "|---|---|---|---|",
    ]
    lines += [
        f"| {goal.name} | {goal.middle_pct:g} | {goal.band_pct[0]:g} to {goal.band_pct[1]:g} | {goal.given_by} |"
        for goal in goals().values()
    ]
    return "\n".join(lines) + "\n"


def main() -> None:
    """Write the pages and the pictures."""
    (HERE / "reference" / "names-and-goals.md").write_text(names_and_goals())
    (HERE / "reference" / "data-dictionary.md").write_text(dictionary_page())
    (HERE / "pictures").mkdir(exist_ok=True)
    horse = BARN[0]
    name = horse.name.lower()
    with tempfile.TemporaryDirectory() as barn:
        make_horse(horse, Path(barn))
        folder = Path(barn) / name
        (HERE / "pictures" / f"{name}.png").write_bytes((folder / f"{name}.png").read_bytes())
        for picture in pictures(open_clip(folder / f"{name}.mp4")):
            if picture.index == 60:
                small = cv2.resize(picture.pixels, (960, 540), interpolation=cv2.INTER_AREA)
                cv2.imwrite(
                    str(HERE / "pictures" / f"{name}-film.jpg"), small, [cv2.IMWRITE_JPEG_QUALITY, 88]
                )
                break


if __name__ == "__main__":
    main()
