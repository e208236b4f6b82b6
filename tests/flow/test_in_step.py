"""Two films laid in step by the stride."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from evenfall.contacts import Contacts, Limb
from evenfall.flow.in_step import films_in_step, longest_run
from evenfall.store import Barn, readings
from evenfall.strides import build_strides
from tests.flow.keeping import kept
from tests.fresh import new_barn
from tests.making import even_ticks, regular, write_film


@pytest.fixture
def barn(tmp_path: Path) -> Iterator[Barn]:
    with new_barn(tmp_path / "barn") as opened:
        yield opened


def read(barn: Barn, folder: Path, contacts: Contacts, name: str) -> int:
    clip = kept(barn, write_film(folder / name, even_ticks(360, 60), metadata={"title": name}), name=name)
    readings.save_machine(barn, clip.id, contacts, method="film", version="1", settings={})
    return clip.id


def test_strides_of_both_are_counted_from_one_foot(barn: Barn, tmp_path: Path) -> None:
    quick = read(barn, tmp_path, regular(stride_s=0.5), "quick.mp4")
    slow = read(barn, tmp_path, regular(stride_s=0.7, n=6), "slow.mp4")
    laid = films_in_step(barn, (quick, slow))
    assert (laid["foot"], laid["strides"]) == ("LH", 6)
    one, other = laid["films"]
    assert one["begins_s"][:3] == pytest.approx([0.5, 1.0, 1.5])
    assert other["real_s"] == pytest.approx([0.7] * 6)
    assert len(one["begins_s"]) == len(one["real_s"]) + 1
    assert other["stands"]["LF"][0] == pytest.approx((0.5 + 0.175, 0.5 + 0.525))


def test_a_film_with_too_few_marks_is_named(barn: Barn, tmp_path: Path) -> None:
    good = read(barn, tmp_path, regular(), "good.mp4")
    thin = read(barn, tmp_path, regular(n=1), "thin.mp4")
    told = films_in_step(barn, (good, thin))
    assert told == {
        "problem": "thin.mp4: only one whole stride is marked in a row. To lay two films in step, mark or check the feet "
        "over two strides or more."
    }


def test_the_longest_unbroken_run_is_taken() -> None:
    marks = [mark for mark in regular(n=8) if not (mark.limb is Limb.LH and 1.6 < mark.time_s < 1.8)]
    run = longest_run(build_strides(Contacts(marks)).trusted_cycles(Limb.LH))
    assert [round(cycle.start_s, 3) for cycle in run] == [2.3, 2.9, 3.5, 4.1, 4.7]
    assert longest_run(()) == ()
