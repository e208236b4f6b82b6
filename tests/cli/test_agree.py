"""``evenfall agree`` as a person or a program runs it."""

import io
import subprocess
import sys
from pathlib import Path

import pytest

from evenfall.cli.context import Context, Status
from evenfall.contacts import Contacts
from tests.cli.test_read import Terminal, Told
from tests.making import regular, write_contacts


@pytest.fixture
def a(tmp_path: Path) -> Path:
    return write_contacts(tmp_path / "anna.csv", regular())


@pytest.fixture
def b(tmp_path: Path) -> Path:
    return write_contacts(tmp_path / "ben.csv", regular().shifted(0.012))


def test_two_readers_are_compared(a: Path, b: Path) -> None:
    told = Told("agree", a, b)
    assert told.status == Status.MEASURED
    assert "B marks LF landings 12 ms later than A (12 to 12), 95 % within 12 to 12 ms." in told.out
    assert told.err == ""


def test_with_json_stdout_holds_one_object_and_nothing_else(a: Path, b: Path) -> None:
    told = Told("agree", a, b, "--json")
    assert (told.status, told.err, told.out.count("\n")) == (Status.MEASURED, "", 1)
    assert told.data["schema"] == 1
    assert told.data["all"]["matched"] == 72
    assert told.data["limbs"]["RH"]["off"]["bias_ms"]["mean"] == pytest.approx(12)
    assert told.data["pairs"][0]["a"]["line"] == 2


def test_the_window_is_the_persons(a: Path, b: Path) -> None:
    told = Told("agree", a, b, "--window", 10, "--json")
    assert told.status == Status.TOO_LITTLE_EVIDENCE
    assert told.data["all"] == {
        "matched": 0,
        "missed": 72,
        "extra": 72,
        **{key: {"unknown": "no pair was matched"} for key in ("bias_ms", "limits_ms", "absolute_ms")},
    }
    assert "within 10 ms of one of the same foot in A; the nearest is 12 ms away" in told.err
    assert told.data["error"]["message"] in told.err


@pytest.mark.parametrize(
    ("contacts", "message"),
    [
        (Contacts(), "B holds no contact"),
        (regular().shifted(100), "different films or clocks"),
        (regular().mirrored(), "swapped in B"),
    ],
    ids=["empty", "another film", "mirrored"],
)
@pytest.mark.parametrize("flags", [[], ["--json"]], ids=["for a person", "as JSON"])
def test_nothing_to_match_leaves_with_three_and_the_reason(
    a: Path, tmp_path: Path, contacts: Contacts, message: str, flags: list[str]
) -> None:
    told = Told("agree", a, write_contacts(tmp_path / "other.csv", contacts), *flags)
    assert told.status == Status.TOO_LITTLE_EVIDENCE
    assert message in told.err
    if flags:
        assert told.data["error"]["code"] == "too_little_evidence"
        assert message in told.data["error"]["message"]


def test_on_a_terminal_the_reason_stands_once(a: Path, tmp_path: Path) -> None:
    other = write_contacts(tmp_path / "other.csv", Contacts())
    told = Told("agree", a, other, context=Context(io.StringIO(), Terminal(), io.StringIO()))
    assert "B holds no contact" in told.out
    assert told.err == ""


BAD = {
    "missing": (None, "there is no such file"),
    "empty": (b"", "the contacts file is empty"),
    "a film": (b"\x00\x00\x00\x18ftypisom\xff\xfe", "expected contacts as CSV text"),
    "no header": (b"LF,on,0.5\n", "The header line itself seems to be missing"),
    "misspelt limb": (b"limb,event,time_s\nHL,on,0.5\n", "line 2: expected a limb LF, RF, LH or RH"),
    "not a number": (b"limb,event,time_s\nLH,on,nan\n", "line 2: expected a time in seconds"),
    "twice": (b"limb,event,time_s\nLH,on,0.5\nLH,on,0.5\n", "stands on line 2 already"),
}


@pytest.mark.parametrize("case", BAD)
@pytest.mark.parametrize("place", ["A", "B"])
@pytest.mark.parametrize("flags", [[], ["--json"]], ids=["for a person", "as JSON"])
def test_a_bad_file_is_named_and_leaves_with_two(
    a: Path, tmp_path: Path, case: str, place: str, flags: list[str]
) -> None:
    content, message = BAD[case]
    bad = tmp_path / "bad.csv"
    if content is not None:
        bad.write_bytes(content)
    told = Told("agree", *((bad, a) if place == "A" else (a, bad)), *flags)
    assert told.status == Status.WRONG_USE
    assert "bad.csv" in told.err
    assert message in told.err
    if flags:
        assert told.data["error"]["code"] == "bad_contacts"
        assert message in told.data["error"]["message"]


@pytest.mark.parametrize("window", ["0", "-3", "0.1", "nan", "inf", "20000"])
def test_a_window_that_makes_no_sense_is_told(a: Path, b: Path, window: str) -> None:
    told = Told("agree", a, b, "--window", window)
    assert told.status == Status.WRONG_USE
    assert "the window must be 1 to 10000 ms" in told.err


@pytest.mark.parametrize("arguments", [[], ["one.csv"], ["one.csv", "two.csv", "--window", "wide"]])
def test_wrong_usage_leaves_with_two(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert Told("agree", *arguments).status == Status.WRONG_USE
    assert "usage: evenfall agree" in capsys.readouterr().err


def test_a_folder_for_a_file_gets_no_traceback(a: Path, tmp_path: Path) -> None:
    command = [sys.executable, "-m", "evenfall", "agree", str(a), str(tmp_path)]
    told = subprocess.run(command, capture_output=True, text=True, check=False)
    assert told.returncode == 2
    assert "could not be read" in told.stderr
    assert "Traceback" not in told.stderr


def test_its_help_loads_nothing_heavy() -> None:
    code = (
        "import io, sys; from evenfall.cli.app import run; from evenfall.cli.context import Context; "
        "run(['agree', '--help'], Context(*[io.StringIO()] * 3)); "
        "print('LOADED', *[m for m in ('numpy', 'scipy', 'av', 'rich') if m in sys.modules])"
    )
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert told.stdout.splitlines()[-1].strip() == "LOADED"
