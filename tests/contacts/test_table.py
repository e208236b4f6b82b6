"""The contacts file: what is read, what is refused, and what the refusal says."""

from pathlib import Path

import pytest

from evenfall.contacts import Event, Limb, contacts_as_csv
from evenfall.errors import ContactsError
from evenfall.flow import read_contacts

HEADER = "limb,event,time_s\n"


def read(tmp_path: Path, text: str) -> list[tuple[str, str, float]]:
    (tmp_path / "marks.csv").write_text(text)
    return [(m.limb.value, m.event.value, m.time_s) for m in read_contacts(tmp_path / "marks.csv")]


def test_rows_are_read_in_order_of_time(tmp_path: Path) -> None:
    rows = read(tmp_path, HEADER + "LH,on,0.1\nLH,off,0.4\nRF,on,0.2\n")
    assert rows == [("LH", "on", 0.1), ("RF", "on", 0.2), ("LH", "off", 0.4)]


def test_columns_may_stand_in_any_order_and_further_ones_are_kept(tmp_path: Path) -> None:
    (tmp_path / "marks.csv").write_text("note,time_s,limb,event\nmuddy,0.25,RH,off\n")
    marks = read_contacts(tmp_path / "marks.csv")
    (mark,) = marks
    assert (mark.limb, mark.event, mark.time_s, mark.line) == (Limb.RH, Event.OFF, 0.25, 2)
    assert contacts_as_csv(marks) == "limb,event,time_s,note\nRH,off,0.250000,muddy\n"


def test_what_a_spreadsheet_adds_is_no_hindrance(tmp_path: Path) -> None:
    """A byte order mark, carriage returns, blank lines and spaces."""
    (tmp_path / "marks.csv").write_bytes(b"\xef\xbb\xbflimb,event,time_s\r\n LH , on , 0.1 \r\n\r\n,,\r\n")
    assert [m.time_s for m in read_contacts(tmp_path / "marks.csv")] == [0.1]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "the contacts file is empty"),
        ("  \n\n", "the contacts file is empty"),
        ("limb,event\nLH,on\n", "line 1: the column 'time_s' is missing: expected limb,event,time_s"),
        ("limb,event,time\nLH,on,0.1\n", "'time_s' is missing.*Is 'time' meant"),
        ("limb;event;time_s\nLH;on;0,1\n", "parted by ; or tabs"),
        (HEADER + "LH,on,0.1\nLHH,on,0.2\n", "line 3: expected a limb LF, RF, LH or RH, found 'LHH'"),
        (HEADER + "lh,on,0.1\n", "line 2: .*found 'lh'. Is LH meant"),
        (HEADER + "NF,on,0.1\n", "found 'NF'. Is LF meant"),
        (HEADER + "FR,on,0.1\n", "found 'FR'. Is RF meant"),
        (HEADER + "LH,down,0.1\n", "line 2: expected the event on .landing. or off .lift-off., found 'down'"),
        (HEADER + "LH,On,0.1\n", "found 'On'. Is 'on' meant"),
        (HEADER + "LH,on,soon\n", "line 2: expected a time in seconds, found 'soon'"),
        (HEADER + 'LH,on,"0,25"\n', "Write the decimals with a point"),
        (HEADER + "LH,on,00:00:01.5\n", "Write seconds only, such as 1.5"),
        ("foot,event,time_s\nLH,on,0.1\n", "'limb' is missing.*Is 'foot' meant"),
        (HEADER + "LH,on,0,25\n", "found 4. Are the decimals written with a comma"),
        ("LH,on,0.25\n", "The header line itself seems to be missing"),
        ("limb,event,time_s,time_s\nLH,on,0.1,0.2\n", "the column 'time_s' stands twice"),
        (HEADER + "LH,on,nan\n", "expected a time in seconds, found 'nan'"),
        (HEADER + "LH,on\n", "line 2: expected 3 cells as in the header, found 2"),
        (HEADER + "LH,on,0.1\nRF,on,0.2\nLH,on,0.1\n", "line 4: LH on at 0.1 s stands on line 2 already"),
        (
            HEADER + "LH,on,0.1\nLH,off,0.1\n",
            "line 3: LH lands and leaves the ground at the same time, 0.1 s, on line 2",
        ),
        (
            HEADER + "LH,on,0.5\nRF,on,0.6\nLH,off,0.4\n",
            "line 4: the times of LH run backwards: 0.4 s after 0.5 s on line 2",
        ),
    ],
)
def test_what_is_wrong_is_told_with_its_line(tmp_path: Path, text: str, told: str) -> None:
    with pytest.raises(ContactsError, match=told):
        read(tmp_path, text)


def test_line_ends_of_any_machine_are_read(tmp_path: Path) -> None:
    (tmp_path / "marks.csv").write_bytes(b"limb,event,time_s\rLH,on,0.1\rLH,off,0.4\r")
    assert [m.line for m in read_contacts(tmp_path / "marks.csv")] == [2, 3]


def test_a_file_that_is_no_text_is_refused(tmp_path: Path) -> None:
    (tmp_path / "marks.csv").write_bytes(b"\xff\xfe\x00\x01" * 20)
    with pytest.raises(ContactsError, match="expected contacts as CSV text"):
        read_contacts(tmp_path / "marks.csv")


def test_a_missing_file_is_named(tmp_path: Path) -> None:
    with pytest.raises(ContactsError, match=r"nowhere\.csv: there is no such file"):
        read_contacts(tmp_path / "nowhere.csv")


def test_the_line_is_there_for_programs_too(tmp_path: Path) -> None:
    with pytest.raises(ContactsError) as caught:
        read(tmp_path, HEADER + "LH,on,0.1\nXX,on,0.2\n")
    assert caught.value.line == 3
    assert str(caught.value).startswith(f"{tmp_path / 'marks.csv'}: line 3: ")
