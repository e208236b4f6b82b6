"""``evenfall read`` and ``evenfall draw`` as a person or a program runs them."""

import io
import json
import os
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from evenfall.cli.app import run
from evenfall.cli.context import Context, Status
from tests.making import even_ticks, regular, write_contacts, write_film


class Terminal(io.StringIO):
    """A stream that says a person sits at it."""

    def isatty(self) -> bool:
        return True


class Told:
    """One run of the command line: its exit status and what it printed."""

    def __init__(self, *arguments: object, context: Context | None = None) -> None:
        self.context = context or Context(io.StringIO(), io.StringIO(), io.StringIO())
        self.status = run([str(argument) for argument in arguments], self.context)

    @property
    def out(self) -> str:
        return str(self.context.stdout.getvalue())  # type: ignore[attr-defined]

    @property
    def err(self) -> str:
        return str(self.context.stderr.getvalue())  # type: ignore[attr-defined]

    @property
    def data(self) -> Any:
        return json.loads(self.out)


def test_a_film_and_its_contacts_give_the_gait(film: Path, contacts_file: Path) -> None:
    told = Told("read", film, "--contacts", contacts_file, "--goal", "fox trot")
    assert told.status == Status.MEASURED
    assert "Lateral phase 35.0 %" in told.out
    assert "In the band" in told.out
    assert told.err == ""


def test_with_json_stdout_holds_one_object_and_nothing_else(film: Path, contacts_file: Path) -> None:
    told = Told("read", film, "--contacts", contacts_file, "--json", "--facing", "left")
    assert told.status == Status.MEASURED
    assert told.out.count("\n") == 1
    assert told.data["schema"] == 1
    assert told.data["clip"] == {
        "frames": 360,
        "duration_s": 6.0,
        "capture_fps": 60.0,
        "playback_factor": 1.0,
        "width": 64,
        "height": 48,
        "facing": "left",
    }
    assert told.data["timing"]["lateral_phase_pct"]["both"]["mean"] == pytest.approx(35, abs=0.1)
    assert told.data["contacts"][0]["sd_s"] == pytest.approx(1 / 60 / 12**0.5, abs=1e-5)


def test_the_goal_and_a_band_of_ones_own(film: Path, contacts_file: Path) -> None:
    told = Told("read", film, "--contacts", contacts_file, "--json", "--goal", "fox trot", "--band", 36, 40)
    assert told.data["gait"]["goal"]["name"] == "fox trot"
    assert told.data["gait"]["goal"]["band_pct"] == [36, 40]
    assert told.data["gait"]["goal"]["share_in_band"]["mean"] == 0


@pytest.fixture(scope="module")
def slow(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """Strides of 0.6 s taken at 240 pictures a second and played at 30."""
    folder = tmp_path_factory.mktemp("slow")
    film = write_film(folder / "slow.mp4", even_ticks(900, 30))
    marks = regular(stride_s=4.8, lateral_pct=40, n=5, duty_fore_pct=45, duty_hind_pct=45)
    return film, write_contacts(folder / "slow.csv", marks)


def test_a_slow_motion_film_is_read_in_real_time(slow: tuple[Path, Path]) -> None:
    told = Told("read", slow[0], "--contacts", slow[1], "--capture-fps", 240, "--json")
    assert told.data["clip"]["playback_factor"] == pytest.approx(8)
    assert told.data["timing"]["stride_s"]["mean"] == pytest.approx(0.6, abs=0.001)
    assert told.data["shift_ms"]["fronts"]["mean"] == pytest.approx(-90, abs=1)


def test_undeclared_slow_motion_is_told_and_the_shift_withheld(slow: tuple[Path, Path]) -> None:
    told = Told("read", slow[0], "--contacts", slow[1], "--json")
    assert told.status == Status.MEASURED
    assert "stride_time_impossible" in [warning["code"] for warning in told.data["warnings"]]
    assert "unknown" in told.data["shift_ms"]["fronts"]


@pytest.mark.parametrize(
    ("answer", "stride"),
    [("240\n", "0.600 s"), ("\n", "4.800 s"), ("", "4.800 s"), ("fast\n240 fps\n", "0.600 s")],
)
def test_a_person_at_the_terminal_is_asked_for_the_rate(
    slow: tuple[Path, Path], answer: str, stride: str
) -> None:
    context = Context(Terminal(answer), io.StringIO(), Terminal())
    told = Told("read", slow[0], "--contacts", slow[1], context=context)
    assert "impossible for a horse" in told.err
    assert "True pictures a second" in told.err
    assert stride in told.out


def test_a_rate_that_makes_no_horse_gets_no_milliseconds(slow: tuple[Path, Path]) -> None:
    """The playback rate given for the true one, the usual mistake."""
    told = Told("read", slow[0], "--contacts", slow[1], "--capture-fps", 30, "--json")
    assert "unknown" in told.data["shift_ms"]["fronts"]


@pytest.mark.parametrize("columns", [40, 60, 80])
def test_the_charts_fit_the_terminal(
    film: Path, contacts_file: Path, columns: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", str(columns))
    told = Told(
        "read", film, "--contacts", contacts_file, context=Context(io.StringIO(), Terminal(), io.StringIO())
    )
    lines = re.sub(r"\x1b\[[0-9;]*m", "", told.out).splitlines()
    assert max(len(line.rstrip()) for line in lines) <= columns
    assert sum("█" in line for line in lines) == 4


def test_long_work_shows_a_bar_and_short_work_none(film: Path, contacts_file: Path) -> None:
    def context(seconds_a_look: float) -> Context:
        ticks = iter(range(10_000))
        return Context(io.StringIO(), io.StringIO(), Terminal(), clock=lambda: seconds_a_look * next(ticks))

    slow = Told("read", film, "--contacts", contacts_file, context=context(2.0))
    quick = Told("read", film, "--contacts", contacts_file, context=context(0.0))
    assert "reading the film" in slow.err
    assert "reading the film" not in quick.err


@pytest.mark.parametrize(("ending", "start"), [("svg", b"<svg"), ("png", b"\x89PNG")])
def test_draw_writes_a_picture(
    film: Path, contacts_file: Path, tmp_path: Path, ending: str, start: bytes
) -> None:
    picture = tmp_path / f"gait.{ending}"
    told = Told("draw", film, "--contacts", contacts_file, "-o", picture)
    assert told.status == Status.MEASURED
    assert picture.read_bytes().startswith(start)
    assert f"Drawn: {picture}" in told.err
    assert told.out == ""


def test_drawing_shows_a_person_that_work_goes_on(film: Path, contacts_file: Path, tmp_path: Path) -> None:
    context = Context(io.StringIO(), io.StringIO(), Terminal())
    told = Told("draw", film, "--contacts", contacts_file, "-o", tmp_path / "gait.svg", context=context)
    assert "drawing the picture" in told.err


def test_draw_tells_what_the_picture_does_not(film: Path, tmp_path: Path) -> None:
    few = write_contacts(tmp_path / "few.csv", regular(n=3))
    told = Told("draw", film, "--contacts", few, "-o", tmp_path / "gait.svg")
    assert "! only 3 strides" in told.err


# bad input ----------------------------------------------------------------------------------------------

HEADER = "limb,event,time_s\n"
GOOD = HEADER + "".join(
    f"{limb},on,{0.5 + 0.6 * turn + offset:.3f}\n"
    for turn in range(6)
    for limb, offset in (("LH", 0.0), ("LF", 0.15), ("RH", 0.3), ("RF", 0.45))
)

Make = Callable[[Path, Path], tuple[Path, str]]
"""From a folder and a good film to the film given and the text of the contacts given."""


def _file(name: str, content: bytes) -> Make:
    def make(folder: Path, film: Path) -> tuple[Path, str]:  # noqa: ARG001
        (folder / name).write_bytes(content)
        return folder / name, GOOD

    return make


def _cut_off(folder: Path, film: Path) -> tuple[Path, str]:
    (folder / "cut.mp4").write_bytes(film.read_bytes()[: film.stat().st_size // 2])
    return folder / "cut.mp4", GOOD


def _sound_only(folder: Path, film: Path) -> tuple[Path, str]:  # noqa: ARG001
    import wave  # noqa: PLC0415

    with wave.open(str(folder / "beat.wav"), "wb") as sound:
        sound.setparams((1, 2, 8000, 0, "NONE", ""))
        sound.writeframes(bytes(1600))
    return folder / "beat.wav", GOOD


def _contacts(text: str) -> Make:
    return lambda _folder, film: (film, text)


BAD: dict[str, tuple[Make, int, str]] = {
    "empty film": (_file("film.mp4", b""), 2, "expected a film, found an empty file"),
    "text named .mp4": (_file("film.mp4", GOOD.encode()), 2, "expected a film, found text"),
    "cut-off film": (_cut_off, 2, "cut off or damaged"),
    "no video stream": (_sound_only, 2, "sound without a moving picture"),
    "no film": (lambda folder, _film: (folder / "none.mp4", GOOD), 2, "there is no such file"),
    "0-byte CSV": (_contacts(""), 2, "the contacts file is empty"),
    "header alone": (_contacts(HEADER), 3, "no foot is marked"),
    "missing column": (_contacts("limb,time_s\nLH,0.5\n"), 2, "line 1: the column 'event' is missing"),
    "misspelt limb": (
        _contacts(GOOD + "HL,on,4.5\n"),
        2,
        "line 26: expected a limb LF, RF, LH or RH, found 'HL'. Is LH meant",
    ),
    "duplicate rows": (
        _contacts(GOOD + "RF,on,3.950\n"),
        2,
        "line 26: RF on at 3.95 s stands on line 25 already",
    ),
    "unordered times": (_contacts(GOOD + "LH,on,0.100\n"), 2, "line 26: the times of LH run backwards"),
    "two landings": (
        _contacts(GOOD + "RF,on,4.000\n"),
        2,
        "line 26: RF lands at 3.950 s and again at 4.000 s",
    ),
    "times in frames": (
        _contacts(HEADER + "LH,on,30\nRH,on,48\nLH,on,66\nRH,on,84\n"),
        2,
        "look like picture numbers",
    ),
    "no contacts inside": (_contacts(GOOD.replace("on,", "on,10")), 3, "no contact lies inside the film"),
    "one stride only": (_contacts("\n".join(GOOD.splitlines()[:6]) + "\n"), 3, "one whole stride was marked"),
}


@pytest.mark.parametrize("case", BAD)
@pytest.mark.parametrize("flags", [[], ["--json"]], ids=["for a person", "as JSON"])
def test_bad_input_gets_a_clear_message_and_the_right_status(
    case: str, flags: list[str], film: Path, tmp_path: Path
) -> None:
    make, status, message = BAD[case]
    given, text = make(tmp_path, film)
    (tmp_path / "marks.csv").write_text(text)
    told = Told("read", given, "--contacts", tmp_path / "marks.csv", *flags)
    assert told.status == status
    assert message in told.err
    if flags:
        assert message in told.data["error"]["message"]
        assert told.data["error"]["code"] == (
            "too_little_evidence" if status == 3 else told.data["error"]["code"]
        )


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["--capture-fps", "0"], "capture rate must be"),
        (["--goal", "gallop"], "there is no goal 'gallop'"),
        (["--band", "30", "20"], "a goal band needs"),
    ],
)
def test_wrong_settings_are_told(film: Path, contacts_file: Path, arguments: list[str], message: str) -> None:
    told = Told("read", film, "--contacts", contacts_file, *arguments)
    assert told.status == Status.WRONG_USE
    assert message in told.err


@pytest.mark.parametrize("arguments", [[], ["read"], ["reed"], ["read", "film.mp4", "--capture-fps", "fast"]])
def test_wrong_usage_leaves_with_two(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert Told(*arguments).status == Status.WRONG_USE
    assert "usage: evenfall" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("place", "message"),
    [
        ("nowhere/gait.svg", "could not be written: No such file or directory"),
        ("gait.pdf", "ending in .svg or .png"),
        ("folder.svg", "could not be written: Is a directory"),
    ],
)
def test_unwritable_output_is_told_and_leaves_nothing(
    film: Path, contacts_file: Path, tmp_path: Path, place: str, message: str
) -> None:
    (tmp_path / "folder.svg").mkdir()
    told = Told("draw", film, "--contacts", contacts_file, "-o", tmp_path / place)
    assert told.status == Status.WRONG_USE
    assert message in told.err
    assert [path.name for path in tmp_path.iterdir()] == ["folder.svg"]


def test_a_full_disk_leaves_the_old_picture_whole(film: Path, contacts_file: Path) -> None:
    """/dev/full refuses every byte; the part file beside it cannot be made in /dev at all without leave."""
    full = Path("/dev/full")
    if not full.exists():
        pytest.skip("this system has no /dev/full")
    told = Told("draw", film, "--contacts", contacts_file, "-o", "/dev/full/gait.svg")
    assert told.status == Status.WRONG_USE
    assert "could not be written" in told.err


def test_drawing_too_little_evidence_leaves_with_three(film: Path, tmp_path: Path) -> None:
    one = write_contacts(tmp_path / "one.csv", regular(n=1))
    told = Told("draw", film, "--contacts", one, "-o", tmp_path / "gait.svg")
    assert told.status == Status.TOO_LITTLE_EVIDENCE
    assert not (tmp_path / "gait.svg").exists()


def test_stopping_is_clean(film: Path, contacts_file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupted(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("evenfall.flow.films.open_clip", interrupted)
    told = Told("read", film, "--contacts", contacts_file)
    assert told.status == Status.CANCELLED
    assert told.err == "Stopped. Nothing half-made is left behind.\n"


def test_the_installed_command_runs_as_a_process(film: Path, contacts_file: Path) -> None:
    """No traceback, talk on stderr, the status of the contract."""
    command = [
        sys.executable,
        "-m",
        "evenfall",
        "read",
        str(film),
        "--contacts",
        str(contacts_file),
        "--json",
    ]
    good = subprocess.run(command, capture_output=True, text=True, check=False)
    assert (good.returncode, good.stderr) == (0, "")
    assert json.loads(good.stdout)["strides"] == 8
    bad = subprocess.run(
        [*command[:4], str(contacts_file), *command[5:]], capture_output=True, text=True, check=False
    )
    assert bad.returncode == 2
    assert "found text" in bad.stderr
    assert "Traceback" not in bad.stderr


def _process(*arguments: object, tail: str = "", **settings: str) -> subprocess.CompletedProcess[bytes]:
    """The command as a shell runs it, with its output sent on."""
    words = " ".join(f"'{word}'" for word in [sys.executable, "-m", "evenfall", *arguments])
    environment = {**os.environ, **settings}
    return subprocess.run(
        ["bash", "-c", f"set -o pipefail; {words} {tail}"], capture_output=True, check=False, env=environment
    )


def test_where_the_terminal_lacks_the_signs_bars_are_still_bars(film: Path, contacts_file: Path) -> None:
    told = _process("read", film, "--contacts", contacts_file, PYTHONIOENCODING="ascii")
    assert told.returncode == 0
    assert re.search(rb"LH  [#.]{30,}", told.stdout)


@pytest.mark.parametrize("flags", [[], ["--json"], ["--help"]])
def test_a_reader_that_hangs_up_gets_no_traceback(film: Path, contacts_file: Path, flags: list[str]) -> None:
    told = _process("read", film, "--contacts", contacts_file, *flags, tail="| true")
    assert told.stderr == b""


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="this system has no /dev/full")
def test_a_full_disk_behind_the_output_is_told(film: Path, contacts_file: Path) -> None:
    told = _process("read", film, "--contacts", contacts_file, "--json", tail="> /dev/full")
    assert told.returncode == 2
    assert b"could not be written: No space left on device" in told.stderr
    assert b"Traceback" not in told.stderr
