from pathlib import Path

import pytest

from evenfall.errors import UnreadableInput
from evenfall.flow.study.groups import Said, parse_groups, plain_place, read_groups


@pytest.mark.parametrize(
    "raw",
    [
        b"film,group\na b.mp4,shod\n",
        b"film;group\na b.mp4;shod\n",
        b"film\tgroup\r\na b.mp4\tshod\r\n",
        b"\xef\xbb\xbfFilm , Group\n a b.mp4 , shod \n\n,,\n",
        b'group,film,notes\nshod,"a b.mp4",\n',
    ],
)
def test_a_table_is_read_as_spreadsheets_write_it(raw: bytes) -> None:
    assert parse_groups(raw).films == {"a b.mp4": Said(group="shod")}


def test_columns_that_are_not_used_are_told() -> None:
    groups = parse_groups(b"film,hose,horse\na.mp4,1,Juno\n")
    assert groups.unused == ("hose",)
    assert groups.columns == {"film", "horse"}


@pytest.mark.parametrize(
    ("raw", "match"),
    [
        (b"", r"line 1: the column 'film' is missing: .* found nothing"),
        (b"name,group\n", "line 1: the column 'film' is missing.*found name, group"),
        (b"film,group,group\n", "line 1: the column 'group' stands twice"),
        (b"film\na.mp4\na.mp4\n", "line 3: the film 'a.mp4' stands twice"),
        (b"film,capture_fps\na.mp4,fast\n", "line 2: expected true pictures a second such as 240, found 'fast'"),
        (b"film,capture_fps\na.mp4,nan\n", "found 'nan'"),
        (b"film,facing\na.mp4,north\n", "line 2: expected left or right under facing, found 'north'"),
        (b"film,group\n,shod\n", "line 2: expected the film's place in the folder"),
        (b"film,group\na.mp4,b,c\n", "line 2: expected 2 cells, found 3; put quotes"),
        (b"\xff\xfe\x00", "expected a CSV in UTF-8"),
    ],
)  # fmt: skip
def test_a_mistake_is_named_with_its_line(raw: bytes, match: str) -> None:
    with pytest.raises(UnreadableInput, match=match):
        parse_groups(raw)


def test_a_file_that_is_not_there_or_wrong_is_named(tmp_path: Path) -> None:
    with pytest.raises(
        UnreadableInput, match=r"groups\.csv: the groups file could not be read: No such file"
    ):
        read_groups(tmp_path / "groups.csv")
    (tmp_path / "groups.csv").write_text("name\n")
    with pytest.raises(UnreadableInput, match=r"groups\.csv: line 1"):
        read_groups(tmp_path / "groups.csv")


@pytest.mark.parametrize("place", ["x/Zoë.mp4", "x\\Zoe\u0308.mp4", "./x//Zoë.mp4", " x/Zoë.mp4"])
def test_one_place_is_one_place_however_a_system_writes_it(place: str) -> None:
    assert plain_place(place) == "x/Zoë.mp4"
