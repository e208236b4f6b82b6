"""An agreement in words, on the terminal and as data."""

import io
import json
from dataclasses import replace

import pytest
from rich.console import Console

from evenfall.contacts import Contact, Contacts, Event, Limb
from evenfall.report.agreement import (
    agreement_data,
    agreement_on_terminal,
    say_agreement,
    say_part,
    warnings,
)
from evenfall.scoring import Agreement, score_contacts
from tests.making import regular


def lf(*times_ms: float) -> Contacts:
    return Contacts(Contact(Limb.LF, Event.ON, time / 1000) for time in times_ms)


@pytest.fixture
def five() -> Agreement:
    """Five pairs: bias 12, SD √40, limits −0.4 to 24.4; one missed, one extra."""
    return score_contacts(lf(0, 500, 1000, 1500, 2000, 4000), lf(16, 504, 1020, 1508, 2012, 3000))


def printed(agreement: Agreement, columns: int = 80) -> str:
    out = io.StringIO()
    Console(file=out, width=columns, highlight=False).print(agreement_on_terminal(agreement))
    return out.getvalue()


def test_a_trainer_can_read_how_much_later_b_marks(five: Agreement) -> None:
    assert say_part(five.part(Limb.LF, Event.ON)) == (
        "B marks LF landings 12 ms later than A (4 to 20), 95 % within 0 to 24 ms."
    )
    assert say_part(five.part(event=Event.ON)).startswith("B marks all landings 12 ms later")
    assert say_part(five.part()).startswith("B marks all contacts 12 ms later")


def test_sooner_is_counted_as_sooner_and_the_limits_keep_their_sign() -> None:
    turned = score_contacts(lf(16, 504, 1020, 1508, 2012), lf(0, 500, 1000, 1500, 2000))
    assert say_part(turned.part(Limb.LF, Event.ON)) == (
        "B marks LF landings 12 ms sooner than A (4 to 20), 95 % within −24 to 0 ms."
    )


def test_too_few_pairs_are_said() -> None:
    one = score_contacts(lf(100), lf(107))
    assert (
        say_part(one.part())
        == "B marks all contacts 7 ms later than A: one pair only; two or more are needed."
    )
    assert say_part(one.part(Limb.RH, Event.OFF)) == "RH lift-offs: unknown, no pair was matched."


def test_counts_are_said(five: Agreement) -> None:
    assert say_agreement(five) == (
        "A holds 6 contacts, B 6 contacts. Within 100 ms: 5 matched, 1 missed (in A only), 1 extra (in B only)."
    )
    assert say_agreement(score_contacts(lf(1), Contacts())).startswith("A holds 1 contact, B 0 contacts.")


def test_the_page_has_a_row_for_each_foot_marked(five: Agreement) -> None:
    page = printed(five)
    assert page.count("B marks") == 3
    assert [line.split()[:5] for line in page.splitlines() if line.startswith(("LF", "all"))] == [
        ["LF", "landing", "5", "1", "1"],
        ["all", "landing", "5", "1", "1"],
        ["all", "contact", "5", "1", "1"],
    ]
    assert "6.3 ms" in page
    assert "RH" not in page


@pytest.mark.parametrize("columns", [40, 60, 80])
def test_the_page_fits_the_terminal(columns: int) -> None:
    page = printed(score_contacts(regular(), regular().shifted(0.06)), columns)
    assert max(len(line.rstrip()) for line in page.splitlines()) <= columns


def codes(agreement: Agreement) -> list[str]:
    return [warning["code"] for warning in warnings(agreement)]


def test_swapped_legs_swapped_contacts_and_another_clock_are_told() -> None:
    a = regular()
    fores = Contacts(m if m.limb.is_hind else replace(m, limb=m.limb.across) for m in a)
    one = Contacts(replace(m, limb=m.limb.across) if i == 9 else m for i, m in enumerate(a))
    many = Contacts(replace(m, limb=m.limb.across) if i % 4 == 1 else m for i, m in enumerate(a))
    assert codes(score_contacts(a, fores)) == ["legs_swapped"]
    assert codes(score_contacts(a, a.mirrored())) == ["legs_swapped", "legs_swapped"]
    assert codes(score_contacts(a, one)) == ["contacts_swapped"]
    assert codes(score_contacts(a, a.shifted(0.08))) == ["constant_offset"]
    assert codes(score_contacts(a, a.shifted(0.02))) == []
    assert "Left and right of the fores look swapped" in printed(score_contacts(a, fores))
    assert "1 contact looks like the foot across" in printed(score_contacts(a, one))
    assert "; and " in warnings(score_contacts(a, many))[0]["message"]
    (clock,) = warnings(score_contacts(a, a.shifted(-0.08)))
    assert "80 ms sooner than A's or more" in clock["message"]


def test_nothing_matched_is_told_with_the_reason() -> None:
    page = " ".join(printed(score_contacts(lf(0), lf(5000))).split())
    assert "Too little evidence: no contact of B lies within 100 ms" in page
    assert "B marks" not in page


def test_the_data_hold_every_number(five: Agreement) -> None:
    data = json.loads(json.dumps(agreement_data(five), allow_nan=False))
    assert (data["schema"], data["window_ms"], data["contacts"]) == (1, 100, {"a": 6, "b": 6})
    assert data["limbs"]["LF"]["on"] == data["events"]["on"] == data["all"]
    assert data["all"] == {
        "matched": 5,
        "missed": 1,
        "extra": 1,
        "bias_ms": {"mean": 12.0, "sd": 6.325, "n": 5, "ci95": [4.147, 19.853]},
        "limits_ms": {"low": -0.396, "high": 24.396, "each_within": 13.602, "n": 5},
        "absolute_ms": {"median": 12.0, "p95": 19.2, "n": 5},
    }
    assert data["limbs"]["RH"]["off"]["bias_ms"] == {"unknown": "no pair was matched"}
    assert data["pairs"][1] == {
        "a": {"limb": "LF", "event": "on", "time_s": 0.5, "line": None},
        "b": {"limb": "LF", "event": "on", "time_s": 0.504, "line": None},
        "difference_ms": 4.0,
    }
    assert [mark["time_s"] for mark in (*data["missed"], *data["extra"])] == [4.0, 3.0]
    assert "error" not in data


def test_one_pair_keeps_its_mean_in_the_data_and_no_spread() -> None:
    told = agreement_data(score_contacts(lf(100), lf(107)))["all"]
    reason = "one pair only; two or more are needed"
    assert told["bias_ms"] == {"mean": 7.0, "n": 1, "unknown": reason}
    assert told["limits_ms"] == {"unknown": reason}


def test_the_data_name_what_is_swapped() -> None:
    data = agreement_data(score_contacts(regular(), regular().mirrored()))
    assert data["swapped"][0] == {"legs": "fores", "matched_as_named": 0, "matched_if_swapped": 36}
    assert data["error"]["code"] == "too_little_evidence"
