"""Works done by a Dask cluster on this machine."""

import socket
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import distributed
import pytest

from evenfall.errors import WrongSetting
from evenfall.jobs import Runner, executor_for
from evenfall.store import Barn, clips, jobs
from tests.jobs.waiting import assert_whole, film_brought_in, is_over, job_of, to_be_prepared, until


@pytest.fixture
def scheduler() -> Iterator[str]:
    local: Any = distributed.LocalCluster  # it has no types of its own
    with local(n_workers=1, threads_per_worker=1, processes=True, dashboard_address="127.0.0.1:0") as cluster:
        yield cluster.scheduler_address


def test_a_cluster_does_the_jobs_and_hears_when_one_is_cancelled(
    barn: Barn, tmp_path: Path, long_film: Path, scheduler: str
) -> None:
    long = to_be_prepared(barn, long_film)
    short = film_brought_in(barn, tmp_path, "short.mp4")
    with Runner(barn, executor=executor_for(scheduler)):
        until(lambda: job_of(barn, long, "proxy").progress > 0)
        jobs.cancel(barn, job_of(barn, long, "proxy").id)
        until(lambda: is_over(barn))
    assert job_of(barn, long, "proxy").state == "cancelled"
    assert job_of(barn, short, "read").state == "done"
    assert clips.get(barn, short.id).state == "ready"
    assert_whole(barn, short)


def test_without_an_address_there_is_no_executor() -> None:
    assert executor_for(None) is None


def test_a_scheduler_that_does_not_answer_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("evenfall.jobs.executors.ANSWER_S", 0.5)
    with socket.socket() as nobody:
        nobody.bind(("127.0.0.1", 0))
        address = f"tcp://127.0.0.1:{nobody.getsockname()[1]}"
        with pytest.raises(WrongSetting, match=f"no Dask scheduler answers at '{address}'"):
            executor_for(address)


def test_without_dask_the_message_names_the_part_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "distributed", None)
    with pytest.raises(WrongSetting, match=r"pip install 'evenfall\[dask\]'"):
        executor_for("tcp://127.0.0.1:8786")
