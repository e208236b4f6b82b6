"""A drawn film in the served barn, and browsers as wide as a laptop and a phone."""

from collections.abc import Callable, Iterator

import pytest
from playwright.sync_api import Browser, BrowserContext, ViewportSize

from evenfall.store import Barn
from tests.web.conftest import PATIENCE_MS
from tests.web.film.hands import Drawn, Hands, draw, keep


@pytest.fixture(scope="session")
def drawn(tmp_path_factory: pytest.TempPathFactory) -> Drawn:
    return draw(tmp_path_factory.mktemp("drawn") / "ride.mp4")


@pytest.fixture(scope="session")
def made_ready(drawn: Drawn, tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """The drawn film, light to step through: made once."""
    return drawn.proxy(tmp_path_factory.mktemp("ready")).read_bytes()


@pytest.fixture
def clip_id(barn: Barn, drawn: Drawn, made_ready: bytes) -> int:
    return keep(barn, drawn.film, made_ready=made_ready)


@pytest.fixture
def open_hands(browser: Browser, served: str, clip_id: int) -> Iterator[Callable[..., Hands]]:
    """Open the film's page in a browser of its own; its errors fail the test."""
    opened, failures = list[BrowserContext](), list[str]()

    def make(*, thumb: bool = False, wait: bool = True, watch: Callable[[str], None] | None = None) -> Hands:
        size = ViewportSize(width=360, height=740) if thumb else ViewportSize(width=1280, height=800)
        context = browser.new_context(viewport=size, has_touch=thumb, is_mobile=thumb)
        opened.append(context)
        page = context.new_page()
        page.set_default_timeout(PATIENCE_MS)
        page.on("pageerror", lambda error: failures.append(str(error)))
        if watch:
            page.on("request", lambda request: watch(request.url))
        return Hands(page, f"{served}/film/{clip_id}", wait=wait)

    yield make
    for context in opened:
        context.close()
    assert not failures


@pytest.fixture
def laptop(open_hands: Callable[..., Hands]) -> Hands:
    return open_hands()


@pytest.fixture
def phone(open_hands: Callable[..., Hands]) -> Hands:
    return open_hands(thumb=True)
