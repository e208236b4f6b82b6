"""The documents stay true to the code."""

import re
import tomllib
from pathlib import Path

import pytest

from docs.build import names_and_goals
from evenfall import __version__
from evenfall.cli.app import COMMANDS, build_parser
from evenfall.gait.timing import Timing

ROOT = Path(__file__).parents[1]
DECISIONS = sorted(page for page in (ROOT / "docs/decisions").glob("*.md") if page.stem != "index")


def test_the_version_is_one() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
    newest = re.search(r"^## \[(\d+\.\d+\.\d+)\]", (ROOT / "CHANGELOG.md").read_text(), re.M)
    assert newest is not None
    assert project["version"] == __version__ == newest.group(1)


@pytest.mark.parametrize("command", [module.__name__.rsplit(".", 1)[-1] for module in COMMANDS])
def test_every_command_and_option_is_documented(command: str) -> None:
    page = (ROOT / "docs/reference/cli.md").read_text()
    assert f"evenfall {command}" in page
    (commands,) = [action for action in build_parser()._actions if action.dest == "command"]
    for action in commands.choices[command]._actions:  # type: ignore[index]
        for option in action.option_strings:
            assert option in page or option == "-h", option


def test_every_statistic_is_in_the_reference_of_the_json() -> None:
    page = (ROOT / "docs/reference/json.md").read_text()
    for field in Timing.__dataclass_fields__:
        assert f"`{field}`" in page, field


def test_every_flow_of_a_statistic_has_its_methods_page() -> None:
    pages = {page.stem for page in (ROOT / "docs/methods").glob("*.md")}
    assert {
        "clock",
        "contacts",
        "strides",
        "phases",
        "intervals",
        "duty",
        "support",
        "left-right",
        "zones-and-names",
        "shift",
        "runs",
        "drawn-films",
        "agreement",
        "sound",
        "sensor",
    } <= pages


@pytest.mark.parametrize("page", DECISIONS, ids=lambda page: page.stem)
def test_a_decision_fits_on_a_page(page: Path) -> None:
    assert re.fullmatch(r"\d{4}-[a-z0-9-]+", page.stem)
    assert len(page.read_text().splitlines()) <= 40


def test_the_architecture_is_short() -> None:
    assert len((ROOT / "ARCHITECTURE.md").read_text().splitlines()) <= 150


def test_the_page_of_names_and_goals_is_the_data_files() -> None:
    """Made by ``make docs``."""
    assert (ROOT / "docs/reference/names-and-goals.md").read_text() == names_and_goals()


def test_the_readme_begins_with_the_job_and_gives_two_commands() -> None:
    readme = (ROOT / "README.md").read_text()
    assert "make demo" in readme
    assert "make test" in readme
    assert readme.index("make demo") < readme.index("## Reading a film of your own")


def test_every_caution_is_in_the_reference() -> None:
    page = (ROOT / "docs/reference/json.md").read_text()
    source = (ROOT / "src/evenfall/gait/cautions.py").read_text()
    codes = set(re.findall(r'Caution\(\s*"([a-z_]+)"', source))
    assert len(codes) > 12
    for code in codes:
        assert f"`{code}`" in page, code
