"""The sensor file: units in the header, one or several limbs, and faults that are named."""

from pathlib import Path

import numpy as np
import pytest

from evenfall.contacts import Limb
from evenfall.contacts.sensor import SensorTrack, Site, check_track, parse_sensor, sense_contacts
from evenfall.errors import SensorError
from tests.contacts.sensor.signals import GAITS, Worn, track

HEAD = "time_s,limb,site,ax_g,ay_g,az_g"
ROWS = ("0.00,LF,hoof,0,0,1", "0.01,LF,hoof,0,0.1,1", "0.02,LF,hoof,0,0,1")


def read(*lines: str, limb: Limb | None = None, site: Site | None = None) -> tuple[SensorTrack, ...]:
    return parse_sensor("\n".join(lines).encode(), limb=limb, site=site)


def refused(match: str, *lines: str, limb: Limb | None = None, site: Site | None = None) -> SensorError:
    with pytest.raises(SensorError, match=match) as caught:
        read(*lines, limb=limb, site=site)
    return caught.value


def test_a_plain_file_is_read() -> None:
    (one,) = read(HEAD, *ROWS)
    assert (one.limb, one.site) == (Limb.LF, Site.HOOF)
    assert one.times_s.tolist() == [0, 0.01, 0.02]
    assert one.acceleration_ms2 is not None
    assert one.acceleration_ms2[1].tolist() == pytest.approx([0, 0.980665, 9.80665])
    assert one.rate_rads is None


@pytest.mark.parametrize(
    ("head", "row", "felt", "turn"),
    [
        ("time_s,ax_ms2,ay_ms2,az_ms2", "0,0,9.8", 9.8, None),
        ("time_s,ax [m/s2],ay [m/s^2],az [m/s²]", "0,0,9.8", 9.8, None),
        ("time_s,AX_G,AY_G,AZ_G", "0,0,1", 9.80665, None),
        ("time_s,gx_dps,gy_dps,gz_dps", "0,0,180", None, np.pi),
        ("time [s],gx [rad/s],gy [rad/s],gz [rad/s]", "0,0,2", None, 2),
    ],
)
def test_the_unit_in_the_header_is_the_unit_taken(
    head: str, row: str, felt: float | None, turn: float | None
) -> None:
    (one,) = read(head, *(f"{time},{row}" for time in (0, 0.01, 0.02)), limb=Limb.RH, site=Site.CANNON)
    for values, expected in ((one.acceleration_ms2, felt), (one.rate_rads, turn)):
        assert (values is None) == (expected is None)
        if values is not None:
            assert values[0, 2] == pytest.approx(expected)


def test_milliseconds_become_seconds() -> None:
    (one,) = read(
        HEAD.replace("time_s", "time_ms"), "5,LF,hoof,0,0,1", "10,LF,hoof,0,0,1", "17.5,LF,hoof,0,0,1"
    )
    assert one.times_s.tolist() == pytest.approx([0.005, 0.01, 0.0175])


def test_limb_and_site_may_be_declared_before_the_header() -> None:
    (one,) = read("# limb: RH", "# site: pastern", "time_s,ax_g,ay_g,az_g", "0,0,0,1", "0.01,0,0,1")
    assert (one.limb, one.site) == (Limb.RH, Site.PASTERN)


def test_several_limbs_come_apart_each_with_its_own_clock_and_site() -> None:
    mixed = ("0.00,RH,cannon,0,0,1", *ROWS, "0.013,RH,cannon,0,0,1", "0.02,RH,cannon,0,0,1")
    tracks = read(HEAD, *mixed)
    assert [(one.limb, one.site, len(one.times_s)) for one in tracks] == [
        (Limb.LF, Site.HOOF, 3),
        (Limb.RH, Site.CANNON, 3),
    ]


def test_columns_in_another_order_and_further_ones_do_not_matter() -> None:
    head = "note,az_g,ay_g,ax_g,site,limb,time_s"
    turned = [
        ",".join(["x", *reversed(row.split(",")[1:]), row.split(",")[0]]).replace("hoof,LF", "hoof,LF")
        for row in ROWS
    ]
    plain, (other,) = read(HEAD, *ROWS)[0], read(head, *turned)
    assert plain.acceleration_ms2 is not None
    assert other.acceleration_ms2 is not None
    assert np.array_equal(plain.acceleration_ms2, other.acceleration_ms2)


@pytest.mark.parametrize(
    ("head", "match"),
    [
        ("time,limb,site,ax_g,ay_g,az_g", "'time' carries no unit: name it time_s or time_ms"),
        ("time_us,limb,site,ax_g,ay_g,az_g", "'time_us' carries a unit that is not known here"),
        ("limb,site,ax_g,ay_g,az_g,x", "column time_s or time_ms is missing"),
        ("time_s,limb,site,ax,ay,az", "'ax' carries no unit: name it ax_g or ax_ms2"),
        ("time_s,limb,site,ax_g,ay_g,az_ms2", "different units"),
        ("time_s,limb,site,ax_g,ay_g,x", "az_g or az_ms2 is missing: acceleration needs all three axes"),
        ("time_s,limb,site,ax_g,ax_ms2,ay_g", "'ax' stands twice"),
        ("time_s,limb,limb,ax_g,ay_g,az_g", "'limb' stands twice"),
        ("time_s,limb,site,x,y,z", "neither acceleration .* nor rate of turn"),
        ("time_s;limb;site;ax_g;ay_g;az_g", "parted by ; or tabs"),
    ],
)
def test_a_header_at_fault_is_told_which_column(head: str, match: str) -> None:
    assert refused(match, head, *ROWS).line == 1


@pytest.mark.parametrize(
    ("bad", "match"),
    [
        ("0.03,LF,hoof,0,oops,1", "expected a number, found 'oops'"),
        ("0.03,LF,hoof,0,,1", "found ''. Leave the whole row out"),
        ("0.03,LF,hoof,0,nan,1", "expected a number, found 'nan'"),
        ("0.03,LF,hoof,0,0", "expected 6 cells as in the header, found 5. Was the file cut off"),
        ("0.03,LF,hoof,0,1,0,1", "found 7.*Write a point"),
        ("0.03,NF,hoof,0,0,1", "expected a limb LF, RF, LH, RH, found 'NF'"),
        ("0.03,LF,knee,0,0,1", "expected a site hoof, pastern, cannon, found 'knee'"),
        ("0.03,LF,cannon,0,0,1", "LF is at the hoof first and at the cannon here"),
        ("0.015,LF,hoof,0,0,1", "the time of LF runs backwards: 0.015 s after 0.02 s"),
        ("0.02,LF,hoof,0,0,1", "the time of LF stands still"),
    ],
)
def test_a_bad_row_is_named_by_its_line(bad: str, match: str) -> None:
    assert refused(match, "# a note", HEAD, *ROWS, bad).line == 6


def test_a_file_that_names_no_limb_or_site_asks_for_it() -> None:
    refused("the limb is not said", "time_s,ax_g,ay_g,az_g", "0,0,0,1", "1,0,0,1", site=Site.HOOF)
    refused("the site is not said", "time_s,ax_g,ay_g,az_g", "0,0,0,1", "1,0,0,1", limb=Limb.LF)


def test_a_fault_can_name_its_file_and_keeps_its_line() -> None:
    told = refused("expected a number", HEAD, *ROWS, "0.03,LF,hoof,0,oops,1").in_file(Path("ride.csv"))
    assert isinstance(told, SensorError)
    assert str(told).startswith("ride.csv: line 5: expected a number")
    assert (told.line, told.code) == (5, "bad_sensor_file")


def test_what_is_said_twice_must_agree() -> None:
    told = refused("the file says limb 'LH', and 'LF' was given", "# limb: LH", HEAD, *ROWS, limb=Limb.LF)
    assert told.line == 1
    told = refused("the limb is 'LF' here, and 'LH' was said", "# limb: LH", HEAD, *ROWS)
    assert told.line == 3
    refused("the site is 'hoof' here, and 'cannon' was said", HEAD, *ROWS, site=Site.CANNON)
    assert read("# limb: LF", HEAD, *ROWS, site=Site.HOOF)[0].limb is Limb.LF


@pytest.mark.parametrize(
    ("content", "match"),
    [
        (b"", "is empty"),
        (b"# site: hoof\n", "no header"),
        (b"\xff\xfe\x00", "CSV text"),
        (b"time_s,limb,site,ax_g,ay_g,az_g\n", "holds no samples"),
        (b"time_s,limb,site,ax_g,ay_g,az_g\n0,LF,hoof,0,0,1\n", "holds 1 sample; at least two"),
    ],
)
def test_no_samples_are_told_as_such(content: bytes, match: str) -> None:
    with pytest.raises(SensorError, match=match):
        parse_sensor(content)


def test_a_lone_sample_of_one_limb_is_told() -> None:
    assert refused("RH has one sample only", HEAD, *ROWS, "0.03,RH,hoof,0,0,1").line == 5


def written(one: SensorTrack, felt_in: float, turn_in: float, units: tuple[str, str]) -> bytes:
    """The track as a file whose numbers are divided by the given factors, whatever its header says."""
    felt, turn = one.acceleration_ms2, one.rate_rads
    assert felt is not None
    assert turn is not None
    head = "time_s," + ",".join(f"a{axis}_{units[0]}" for axis in "xyz")
    head += "," + ",".join(f"g{axis}_{units[1]}" for axis in "xyz")
    table = np.column_stack([one.times_s, felt / felt_in, turn / turn_in])
    return "\n".join([head, *(",".join(f"{cell:.9g}" for cell in row) for row in table)]).encode()


G, DEGREE = 9.80665, np.pi / 180


@pytest.mark.parametrize(
    ("felt_in", "turn_in", "units", "match"),
    [
        (G, DEGREE, ("ms2", "dps"), "numbers look like g: rename ax_ms2"),
        (1.0, DEGREE, ("g", "dps"), "numbers look like m/s2: rename ax_g"),
        (G / 1000, DEGREE, ("g", "dps"), "thousandths of g"),
        (G * 5, DEGREE, ("g", "dps"), "unit or the sensor's scale is wrong"),
        (G, DEGREE, ("g", "rads"), "look like degrees a second"),
        (G, 1.0, ("g", "dps"), "look like rad/s"),
    ],
)
def test_numbers_in_another_unit_than_the_header_says_are_known(
    felt_in: float, turn_in: float, units: tuple[str, str], match: str
) -> None:
    content = written(track(GAITS["trot"], duration_s=5.0), felt_in, turn_in, units)
    with pytest.raises(SensorError, match=match):
        parse_sensor(content, limb=Limb.LF, site=Site.HOOF)


FAST = {("racing trot", Site.PASTERN), ("racing trot", Site.CANNON)}
"""Above the hoof a racing trot is hardly ever steady; then gravity is not judged."""


@pytest.mark.parametrize("gait", list(GAITS))
@pytest.mark.parametrize("site", list(Site))
def test_right_units_are_not_doubted_in_any_gait_at_any_site(gait: str, site: Site) -> None:
    one = track(GAITS[gait], Worn(site), duration_s=5.0)
    assert check_track(one).rest_g == (None if (gait, site) in FAST else pytest.approx(1, abs=0.4))
    (back,) = parse_sensor(written(one, G, DEGREE, ("g", "dps")), limb=Limb.LF, site=site)
    assert back.acceleration_ms2 == pytest.approx(one.acceleration_ms2, rel=1e-6, abs=1e-6)


def test_gravity_taken_out_is_told() -> None:
    still = [f"{k / 100},LF,hoof,0.00{k % 3},0,0.001" for k in range(100)]
    refused("Gravity seems to have been taken out", HEAD, *still)


@pytest.mark.parametrize("units", [("g", "dps"), ("ms2", "rads"), ("g", "rads")])
def test_the_same_ride_in_other_units_gives_the_same_contacts(units: tuple[str, str]) -> None:
    one = track(GAITS["trot"], duration_s=6.0)
    factors = {"g": G, "ms2": 1.0, "dps": DEGREE, "rads": 1.0}
    (back,) = parse_sensor(
        written(one, factors[units[0]], factors[units[1]], units), limb=Limb.LF, site=Site.HOOF
    )
    expected = [mark.time_s for mark in sense_contacts(one)]
    assert [mark.time_s for mark in sense_contacts(back)] == pytest.approx(expected, abs=1e-6)
