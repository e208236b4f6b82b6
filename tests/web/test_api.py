"""Whatever is asked of the API, it answers and does not fall over."""

from typing import Any

import schemathesis
from fastapi import FastAPI
from hypothesis import HealthCheck, given, settings
from schemathesis.checks import not_a_server_error
from schemathesis.core.result import Ok

from evenfall.store import Barn
from tests.web.test_files import with_proxy

QUICK = settings(
    max_examples=6, deadline=None, derandomize=True, database=None, suppress_health_check=list(HealthCheck)
)


def test_any_request_is_answered(app: FastAPI, barn: Barn, served: str) -> None:
    """The event stream has no end and is tested by itself."""
    with_proxy(barn)
    described = (
        schemathesis.openapi.from_dict(app.openapi()).include(path_regex="^/api/").exclude(path="/api/events")
    )
    asked = [found.ok() for found in described.get_all_operations() if isinstance(found, Ok)]
    assert len(asked) > 10
    for operation in asked:
        ask(operation, served)


def ask(operation: Any, served: str) -> None:
    @QUICK
    @given(case=operation.as_strategy())
    def each(case: Any) -> None:
        answer = case.call(base_url=served, headers={"Origin": served})
        assert answer.status_code not in (401, 403, 421), "the door let it in"
        case.validate_response(answer, checks=(not_a_server_error,))
        if answer.status_code >= 400:
            assert answer.json()["error"]["message"]

    each()
