"""The shape of the house: imports go one way, importing is light, and the edges hold no arithmetic."""

import ast
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

import evenfall

ROOT = Path(evenfall.__file__).parent

ORDER = (
    ("cli",),
    ("demo",),
    ("serving", "studying"),
    ("web",),
    ("jobs",),
    ("flow",),
    ("store", "report"),
    ("plan",),
    ("progress",),
    ("reading",),
    ("gait", "shoeing"),
    ("strides",),
    ("synth", "scoring"),
    ("contacts",),
    ("clip",),
    ("home",),
    ("timebase", "units"),
    ("errors",),
)
"""Rooms from the edge inwards; a room may import what stands on a later line, and itself."""

RANK = {room: rank for rank, line in enumerate(ORDER) for room in line}
ALLOWED_AT_THE_EDGE = {
    "cli": {"demo", "flow", "report", "store", "home", "errors", "gait", "reading", "serving", "studying"},
    "web": {"jobs", "flow", "report", "store", "home", "errors"},
}
"""What the command line may touch: of the stages only the goals and the settings, which its options name."""


def modules() -> Iterator[tuple[Path, str]]:
    for path in sorted(ROOT.rglob("*.py")):
        parts = path.relative_to(ROOT).with_suffix("").parts
        if parts[0] not in ("__init__", "__main__"):
            yield path, parts[0]


def imported_rooms(path: Path) -> Iterator[str]:
    for node in ast.walk(ast.parse(path.read_text())):
        names: list[str] = []
        if isinstance(node, ast.ImportFrom) and node.module:
            names = [
                f"{node.module}.{alias.name}" if node.module == "evenfall" else node.module
                for alias in node.names
            ]
        elif isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        for name in names:
            parts = name.split(".")
            if parts[0] == "evenfall" and len(parts) > 1 and parts[1] != "__version__":
                yield parts[1]


@pytest.mark.parametrize(("path", "room"), list(modules()), ids=lambda value: getattr(value, "stem", value))
def test_imports_go_one_way(path: Path, room: str) -> None:
    assert room in RANK, f"give {room} its place in ORDER"
    for other in set(imported_rooms(path)) - {room}:
        assert RANK[other] > RANK[room], f"{path.name} in {room} must not import {other}"


@pytest.mark.parametrize(("path", "room"), list(modules()), ids=lambda value: getattr(value, "stem", value))
def test_the_edges_touch_only_what_they_may(path: Path, room: str) -> None:
    if room in ALLOWED_AT_THE_EDGE:
        assert set(imported_rooms(path)) - {room} <= ALLOWED_AT_THE_EDGE[room]


def test_the_test_would_see_a_wrong_import(tmp_path: Path) -> None:
    wrong = tmp_path / "wrong.py"
    wrong.write_text("from evenfall.cli import app\nimport evenfall.gait.zones\nfrom evenfall import flow\n")
    assert set(imported_rooms(wrong)) == {"cli", "gait", "flow"}


HEAVY = (
    "numpy",
    "scipy",
    "cv2",
    "av",
    "altair",
    "rich",
    "vl_convert",
    "sqlalchemy",
    "alembic",
    "fastapi",
    "uvicorn",
    "jinja2",
)


@pytest.mark.parametrize(
    "code",
    [
        "import evenfall",
        "import evenfall.cli.app",
        "import io; from evenfall.cli.app import run; from evenfall.cli.context import Context; run(['--help'], Context(*[io.StringIO()] * 3))",
        "import io; from evenfall.cli.app import run; from evenfall.cli.context import Context; run(['read', '--help'], Context(*[io.StringIO()] * 3))",
    ],
)
def test_importing_and_help_load_nothing_heavy(code: str) -> None:
    told = subprocess.run(
        [sys.executable, "-c", f"{code}\nimport sys; print('LOADED', *[m for m in {HEAVY!r} if m in sys.modules])"],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert told.stdout.splitlines()[-1].strip() == "LOADED"


@pytest.mark.parametrize("room", ["contacts", "contacts.sensor"])
def test_contacts_load_arrays_and_nothing_heavier(room: str) -> None:
    told = subprocess.run(
        [sys.executable, "-c", f"import evenfall.{room}, sys; print(*[m for m in {HEAVY!r} if m in sys.modules])"],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert told.stdout.split() == ["numpy"]


@pytest.mark.parametrize(
    "stage",
    [
        "timebase",
        "strides",
        "reading",
        "contacts",
        "contacts.sensor",
        "gait",
        "clip",
        "report",
        "synth",
        "scoring",
        "flow",
    ],
)
def test_importing_a_stage_has_no_effect_on_disk_or_streams(stage: str, tmp_path: Path) -> None:
    told = subprocess.run(
        [sys.executable, "-c", f"import evenfall.{stage}"],
        capture_output=True,
        text=True,
        check=True,
        cwd=tmp_path,
    )
    assert (told.stdout, told.stderr, list(tmp_path.iterdir())) == ("", "", [])


def test_pure_stages_open_no_file_and_read_no_clock() -> None:
    """`clip` alone opens the path it is given; the data files are the package's own."""
    for name in (
        "timebase.py",
        "strides.py",
        "reading.py",
        "scoring.py",
        "gait",
        "contacts",
    ):
        path = ROOT / name
        for file in [path] if path.suffix else path.rglob("*.py"):
            calls = {
                ast.unparse(node.func)
                for node in ast.walk(ast.parse(file.read_text()))
                if isinstance(node, ast.Call)
            }
            assert not calls & {
                "open",
                "print",
                "time.time",
                "datetime.now",
                "os.environ.get",
                "np.random.default_rng",
            }, file


def test_one_place_in_the_tests_starts_a_browser() -> None:
    """A second driver in the same process breaks the first."""
    starts = f"sync_{'playwright'}()"
    tests = Path(__file__).parent
    found = {path.relative_to(tests).as_posix() for path in tests.rglob("*.py") if starts in path.read_text()}
    assert found == {"conftest.py"}
