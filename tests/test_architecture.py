"""What holds the code together: layers, sizes, names, and that nothing is missing."""

import ast
import importlib.util
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest
from django.apps import apps
from django.core.management import call_command

from inventory.operations import batches
from tests.domain.read_off import make_reading, make_run
from tests.domain.vouched import make_assay, make_attachment
from tests.factories import (
    G,
    make_booking,
    make_label_print,
    make_label_sheet,
    make_laboratory,
    make_lot_profile,
    make_place,
    make_project,
    make_vessel,
    signed,
    somebody,
    take,
)

ROOT = Path(__file__).resolve().parents[1]
PACKAGES = ("inventory", "labels")
LINES_MAX = 300
NO_NAMES = {"utils", "helpers", "common", "manager", "handler"}
TOP_LEVEL = {
    "README.md",
    "DEVELOPERS.md",
    "LICENSE",
    "manage.py",
    "pyproject.toml",
    "inventory",
    "labels",
    "templates",
    "tests",
}


def sources(*folders):
    """Return the Python files written by hand: what makes migrations wrote them."""
    found = [path for folder in folders for path in (ROOT / folder).rglob("*.py")]
    assert found
    return [path for path in found if not re.match(r"0\d+_", path.name)]


def shown(paths):
    return sorted(str(path.relative_to(ROOT)) for path in paths)


def run(*command, **environment):
    """Run a command at the top of the project, away from this shell's settings."""
    foreign = ("TAREBOOK_", "DJANGO_")
    ours = {k: v for k, v in os.environ.items() if not k.startswith(foreign)}
    return subprocess.run(
        command,
        cwd=ROOT,
        env=ours | environment,
        capture_output=True,
        text=True,
        timeout=120,
    )


def skip_or_fail(reason):
    """Skip, or fail where everything has to be tested."""
    if os.environ.get("TAREBOOK_TEST_EVERYTHING") == "1":
        pytest.fail(reason)
    pytest.skip(reason)


def test_each_layer_uses_only_those_below_it():
    if importlib.util.find_spec("importlinter") is None:
        skip_or_fail("needs import-linter: pip install '.[lint]'")

    found = run(
        sys.executable,
        "-c",
        "from importlinter.cli import lint_imports_command as run; run()",
        "--no-cache",
    )

    assert found.returncode == 0, found.stdout + found.stderr
    assert "0 broken" in found.stdout


def test_no_file_is_longer_than_300_lines():
    files = [*sources(*PACKAGES, "tests"), *(ROOT / "templates").rglob("*.html")]

    lengths = {path: len(path.read_text("utf-8").splitlines()) for path in files}

    assert shown(path for path, lines in lengths.items() if lines > LINES_MAX) == []


def test_every_module_is_named_after_what_it_is_about():
    assert shown(p for p in sources(*PACKAGES, "tests") if p.stem in NO_NAMES) == []


def imported(path):
    """Yield the dotted names that a file imports."""
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def test_no_signals():
    assert (
        shown(
            path
            for path in sources(*PACKAGES)
            if any("signals" in name.split(".") for name in imported(path))
            or "@receiver" in path.read_text("utf-8")
        )
        == []
    )


@pytest.fixture
def one_of_each(shipped):
    """Make a row of every model."""
    vessel = make_vessel()
    line = make_booking(vessel, G, project=make_project(somebody())).lines.get()
    take(vessel, line=line)
    make_place()
    make_laboratory()
    make_label_print(vessel)
    make_label_sheet()
    make_lot_profile(vessel.batch)
    make_reading(make_run(vessel.batch))
    certificate = make_attachment(vessel.batch)
    make_assay(vessel.batch, {"Fe": "1 ppm"}, certificate=certificate)
    batches.charge(
        vessel.batch,
        formula="RbCl",
        role="source",
        mass_ug=G,
        u_ug=1,
        purity=1.0,
        **signed(),
    )


# These two say which metal they are about; whoever lists them joins it.
JOINED = {
    "MediumRule": ["material", "medium"],
    "HazardProfile": ["material"],
}


@pytest.mark.django_db
@pytest.mark.usefixtures("one_of_each")
@pytest.mark.parametrize(
    "model",
    list(apps.get_app_config("inventory").get_models()),
    ids=lambda model: model.__name__,
)
def test_naming_a_record_asks_the_database_nothing(model, django_assert_num_queries):
    joined = JOINED.get(model.__name__, [])
    record = model.objects.select_related(*joined).first()

    with django_assert_num_queries(0):
        name = str(record)

    assert name
    assert not name.startswith(f"{model.__name__} object")


@pytest.mark.django_db
def test_the_migrations_say_what_the_models_say(capsys):
    call_command("makemigrations", check=True, dry_run=True)

    assert "No changes detected" in capsys.readouterr().out


def test_a_production_environment_passes_djangos_deployment_check():
    found = run(
        sys.executable,
        *("-W", "error", "manage.py", "check", "--deploy", "--fail-level", "WARNING"),
        TAREBOOK_SECRET_KEY="".join(map(chr, range(40, 120))),
        TAREBOOK_ALLOWED_HOSTS="metals.example.org",
    )

    assert found.returncode == 0, found.stderr
    assert "no issues" in found.stdout


def test_production_does_not_start_without_a_secret_key():
    found = run(sys.executable, "manage.py", "check")

    assert found.returncode != 0
    assert "SECRET_KEY" in found.stderr


def variables():
    """Return every environment variable that the settings read."""
    text = (ROOT / "inventory/config/settings.py").read_text("utf-8")
    (prefix,) = re.findall(r'env\.prefix = "(\w+)"', text)
    names = re.findall(
        r'\benv\.(?:str|bool|list|db_url|email_url|int)\(\s*"(\w+)"', text
    )
    assert len(names) >= 9
    return {prefix + name for name in names}


def documents():
    paths = [ROOT / "README.md", ROOT / "DEVELOPERS.md"]
    return "\n".join(path.read_text("utf-8") for path in paths)


def commands():
    folder = ROOT / "inventory/management/commands"
    return {path.stem for path in folder.glob("*.py")} - {"__init__"}


def test_every_variable_that_the_settings_read_is_documented():
    text = documents()

    assert {
        name for name in variables() if not re.search(rf"\b{name}\b", text)
    } == set()


def test_every_variable_that_is_documented_is_read():
    text = documents()
    own_tests = {"TAREBOOK_TEST_EVERYTHING"}

    assert set(re.findall(r"\bTAREBOOK_[A-Z_]+\b", text)) <= variables() | own_tests


def test_every_management_command_is_documented():
    text = documents()

    assert {name for name in commands() if f"manage.py {name}" not in text} == set()


def test_every_management_command_that_is_documented_exists():
    named = set(re.findall(r"manage\.py ([a-z_]+)", documents()))
    with_django = {
        *("check", "collectstatic", "createcachetable", "makemigrations", "migrate"),
        *("runserver", "shell", "test", "help"),
    }

    assert named <= commands() | with_django


def test_the_top_level_holds_only_what_belongs_there():
    found = run("git", "ls-files")
    if found.returncode != 0:
        skip_or_fail("needs git and the repository: this is a copy without history")

    names = {line.split("/")[0] for line in found.stdout.splitlines()}

    assert {n for n in names if not n.startswith(".")} == TOP_LEVEL
