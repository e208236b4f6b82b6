"""``evenfall shoe`` as a person or a program runs it."""

import subprocess
import sys

import pytest

from evenfall.cli.context import Status
from tests.cli.test_read import Told

BAR = ("--section", "3/8x3/4", "--length", "10in")


def test_a_shoe_from_bar_is_weighed_for_a_person() -> None:
    told = Told("shoe", *BAR)
    assert (told.status, told.err) == (Status.MEASURED, "")
    assert told.out.startswith("3/8 × 3/4 steel, 10 in, 12.8 oz at most")
    assert "12.8 oz (362 g), at most, until weighed" in told.out
    assert "Weigh the shoe." in told.out


def test_with_json_stdout_holds_one_object_and_nothing_else() -> None:
    told = Told("shoe", *BAR, "--add", "toe plate:2x1x1/4in:steel@0.05", "--nails", "8", "--json")
    assert (told.status, told.err, told.out.count("\n")) == (Status.MEASURED, "", 1)
    assert told.data["mass"]["g"] == pytest.approx(361.75 + 64.31 + 36, abs=0.05)
    assert told.data["parts_kg"]["toe_set"] == pytest.approx(0.0643, abs=0.0001)
    assert "limits" not in told.data


def test_weighed_is_said_to_be_weighed() -> None:
    told = Told("shoe", *BAR, "--weighed", "12.1oz", "--units", "metric")
    assert told.out.startswith("3/8 × 3/4 steel, 254 mm, 343 g weighed")
    assert "Weigh the shoe." not in told.out


def test_the_hoof_gives_the_bar_by_lungwitz() -> None:
    """Lungwitz & Adams 1913: hoof length plus greatest width, 254 mm for 127 and 127."""
    told = Told("shoe", "--section", "8x20mm", "--hoof-length", "127mm", "--hoof-width", "127mm", "--json")
    assert told.data["bar_length_m"] == 0.254


def test_a_ready_made_shoe_by_its_mass() -> None:
    told = Told("shoe", "--plain", "12oz", "--size", "1", "--material", "aluminium")
    assert told.out.startswith("plain aluminium shoe size 1, 12 oz as said")
    assert "bar " not in told.out


def test_limits_come_with_their_state_and_the_request_to_check() -> None:
    told = Told("shoe", "--section", "1/2x1", "--length", "11in", "--limits")
    assert "shoe 25 oz (reckoned: weigh it), and 21 oz is the most" in told.out
    assert "check the present text" in told.out
    data = Told("shoe", *BAR, "--limits", "--json").data["limits"]
    assert {each["state"] for each in data if each["limit"]["key"] == "fox trot shoe"} == {"under"}


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        ((), "found neither"),
        (("--section", "8x20", "--length", "1m"), "write it with 'mm' or 'in'"),
        (("--section", "3/8x3/4", "--length", "ten"), "a length with its unit"),
        ((*BAR, "--nails", "99"), "whole number from 0 to 20"),
        ((*BAR, "--add", "pad"), "toe plate:2x1x1/4in"),
    ],
)
def test_a_shoe_that_cannot_be_leaves_with_two(arguments: tuple[str, ...], told: str) -> None:
    found = Told("shoe", *arguments, "--json")
    assert found.status == Status.WRONG_USE
    assert told in found.err
    assert told in found.data["error"]["message"]


def test_wrong_usage_leaves_with_two(capsys: pytest.CaptureFixture[str]) -> None:
    assert Told("shoe", *BAR, "--nails", "some").status == Status.WRONG_USE
    assert "usage: evenfall shoe" in capsys.readouterr().err


def test_help_loads_nothing_heavy() -> None:
    code = (
        "import io, sys; from evenfall.cli.app import run; from evenfall.cli.context import Context; "
        "run(['shoe', '--help'], Context(*[io.StringIO()] * 3)); "
        "print('LOADED', *[m for m in ('numpy', 'scipy', 'rich', 'evenfall.shoeing') if m in sys.modules])"
    )
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert told.stdout.splitlines()[-1].strip() == "LOADED"


def test_shoes_load_no_arrays() -> None:
    code = (
        "import sys, evenfall.shoeing; print(*[m for m in ('numpy', 'scipy', 'altair') if m in sys.modules])"
    )
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert told.stdout.strip() == ""
