"""The house in order: what lies at the top, the lock, the rooms, and that the contract bites."""

from __future__ import annotations

import ast
import re
import shutil
import subprocess
import sys
import tomllib
from functools import cache
from importlib import metadata
from pathlib import Path

import pytest
import yaml

from diagnose.knowledge.device import CAN_CLOSE, HISTORY, WRITTEN

TOP = Path(__file__).resolve().parents[1]
SOURCES = sorted((TOP / "diagnose").rglob("*.py"))
NAMES = [str(path.relative_to(TOP)) for path in SOURCES]
PROJECT = tomllib.loads((TOP / "pyproject.toml").read_text("utf-8"))
LOCK = (TOP / ".lock").read_text("utf-8")


def plain(name: str) -> str:
    """Return a distribution's name as indexes compare it."""
    return re.sub(r"[-_.]+", "-", name).lower()


def locked() -> dict[str, str]:
    """Return the version of each distribution in the lock."""
    lines = [line for line in LOCK.splitlines() if line and not line.startswith("#")]
    return {plain(name): version for name, _, version in (line.partition("==") for line in lines)}


def tracked() -> list[str]:
    """Return the files that git knows, as paths from the top."""
    if shutil.which("git") is None or not (TOP / ".git").exists():
        pytest.skip("not a git checkout")
    listed = subprocess.run(
        ["git", "ls-files", "-z"], cwd=TOP, capture_output=True, text=True, check=True
    )
    return listed.stdout.split("\0")[:-1]


def test_nothing_else_lies_at_the_top() -> None:
    top_names = {path.partition("/")[0] for path in tracked()}
    allowed = {"README.md", "DEVELOPERS.md", "pyproject.toml"} | {"diagnose", "knowledge"}
    allowed |= {"tests", "cases"}
    extra = {name for name in top_names if not name.startswith(".")} - allowed
    assert not extra, f"move into one of the folders, or leave out of git: {sorted(extra)}"


def test_the_lock_names_versions_and_no_places() -> None:
    for line in LOCK.splitlines():
        if line and not line.startswith("#"):
            assert re.fullmatch(r"[A-Za-z0-9._-]+==[A-Za-z0-9.!+]+", line), line
    assert not re.search(r"://|^\s*-", LOCK, re.MULTILINE)


def test_the_lock_covers_every_requirement() -> None:
    project = PROJECT["project"]
    wanted = list(project["dependencies"])
    for extra in project["optional-dependencies"].values():
        wanted += extra
    names = {plain(re.split(r"[\[<>=!~; ]", requirement)[0]) for requirement in wanted}
    assert not names - locked().keys(), "add these to .lock, as its head says"


@pytest.mark.skipif(
    Path(sys.prefix) != TOP / ".venv", reason="not run by python3 tests: other versions may do"
)
def test_what_is_installed_is_what_the_lock_says() -> None:
    versions = locked()
    for found in metadata.distributions():
        name = plain(found.metadata["Name"])
        # A package that only this platform needs may be missing from the lock.
        assert found.version == versions.get(name, found.version), name


def test_a_licence_is_named() -> None:
    assert PROJECT["project"]["license"]


@pytest.mark.parametrize("name", NAMES)
def test_each_module_says_what_it_is_for(name: str) -> None:
    tree = ast.parse((TOP / name).read_text("utf-8"))
    assert ast.get_docstring(tree), f"{name}: begin with a docstring that states its one idea"


def words_of_code(tree: ast.Module) -> str:
    """Return the names and texts that the program works with; docstrings are for readers."""
    prose = {
        id(node.value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
    }
    words = []
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str):
            words += [] if id(node) in prose else [node.value]
        elif isinstance(node, ast.Name | ast.arg | ast.Attribute | ast.FunctionDef | ast.ClassDef):
            fields = ("id", "arg", "attr", "name")
            words += [getattr(node, field) for field in fields if hasattr(node, field)]
    return "\n".join(words)


#: words of the house itself, which a pack happens to use too: every device has these marks and this
#: field; a job is opened; a table has this column
HOUSE = {WRITTEN, CAN_CLOSE, HISTORY, "opened", "service_due"}


@cache
def pack_words() -> set[str]:
    """Return every id that a pack gives to something: chambers, acts, marks, fields and cards."""
    found: set[str] = set()
    for folder in (path.parent for path in (TOP / "knowledge").glob("*/pack.yaml")):
        device = yaml.safe_load((folder / "device.yaml").read_text("utf-8"))
        found |= {chamber["id"] for chamber in device["chambers"]}
        found |= {word for kind in ("events", "acts", "marks", "fields") for word in device[kind]}
        rows = yaml.safe_load((folder / "hazards.yaml").read_text("utf-8"))["hazards"]
        found |= {row["id"] for row in rows}
        found |= {card.stem for card in folder.glob("*/*.yaml")}
        drawing = yaml.safe_load((folder / "drawing.yaml").read_text("utf-8"))
        found |= {part["id"] for part in drawing["parts"]}
    return found - HOUSE


PARTS = re.compile(r"(?i)(?<![a-z])(damper|air[ _]can|seal[ _]head|ifp|bushing|piston)")
#: physics, and the forms in which earlier versions stored what they knew
EXEMPT = ("bench", "job/old_events.py")


def named(code: str) -> list[str]:
    """Return words of packs that a module works with, and parts of shocks that it names at all."""
    tree = ast.parse(code)
    words = words_of_code(tree)
    said = {n.value for n in ast.walk(tree) if isinstance(n, ast.Constant)}
    return sorted((said & pack_words()) | set(PARTS.findall(words)))


@pytest.mark.parametrize(
    "name", [n for n in NAMES if not n.removeprefix("diagnose/").startswith(EXEMPT)]
)
def test_no_code_knows_a_word_of_a_pack(name: str) -> None:
    found = named((TOP / name).read_text("utf-8"))
    assert not found, f"{name}: what is true of one device belongs in its pack in knowledge/"


def test_the_words_of_parts_are_noticed() -> None:
    code = "def f(damper_oil):\n    'prose: bushing'\n    return job.ifp_depth, 'air can', manifp"
    assert named(code) == ["air can", "damper", "ifp"]


def test_the_words_of_packs_are_noticed() -> None:
    code = (
        "if 'can_off' in marks or what == 'vented' or field == 'stroke_mm': stage = 'do_not_open'"
    )
    assert named(code) == ["can_off", "do_not_open", "stroke_mm", "vented"]


# Copied with the contract into a place where breaking it hurts nobody.
@pytest.mark.parametrize(
    ("file", "text", "complaint"),
    [
        ("knowledge/upwards.py", "import diagnose.job.events\n", "knowledge.upwards"),
        ("records/sideways.py", "import diagnose.terminal.screen\n", "records.sideways"),
        ("attic/__init__.py", "", "attic"),
    ],
    ids=["upwards", "sideways", "unknown room"],
)
def test_the_import_contract_bites(tmp_path: Path, file: str, text: str, complaint: str) -> None:
    package = tmp_path / "diagnose"
    needed = ["__init__", "__main__", "bootstrap", "errors", "job/__init__", "job/events"]
    needed += ["terminal/__init__", "terminal/screen", "knowledge/__init__", "records/__init__"]
    for name in needed:
        module = package / f"{name}.py"
        module.parent.mkdir(parents=True, exist_ok=True)
        module.touch()
    shutil.copy(TOP / "pyproject.toml", tmp_path)
    assert lint_imports(tmp_path).returncode == 0

    (package / file).parent.mkdir(exist_ok=True)
    (package / file).write_text(text)
    broken = lint_imports(tmp_path)
    assert broken.returncode == 1
    assert complaint in broken.stdout


# Each circle that is left, by the two modules that close it, with the reason.
CIRCLES = {
    # The loader raises what the checks find, when it runs; the checks look at what it loaded.
    ("knowledge.loader", "knowledge.cross_checks"),
}


def imports_of(name: str, path: Path, modules: set[str]) -> set[str]:
    """The modules that a module imports anywhere in it: while it runs and for types, too."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module:
            inner = {f"{node.module}.{alias.name}" for alias in node.names}
            found |= (inner & modules) or {node.module}
        elif isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
    return {other.removeprefix("diagnose.") for other in found & modules} - {name}


def circles(top: Path) -> list[str]:
    """Modules below a package that stand in a circle of imports, or between two of them."""
    paths = {
        str(path.relative_to(top.parent).with_suffix("")).replace("/", "."): path
        for path in sorted(top.rglob("*.py"))
    }
    paths = {name.removesuffix(".__init__"): path for name, path in paths.items()}
    short = {name: name.removeprefix("diagnose.") for name in paths}
    above = {short[name]: imports_of(short[name], paths[name], set(paths)) for name in paths}
    for closing, entered in CIRCLES:
        above.get(closing, set()).discard(entered)
    while leaves := [name for name in above if not above[name] & set(above)]:
        for name in leaves:
            del above[name]
    while tops := [n for n in above if not any(n in named for named in above.values())]:
        for name in tops:
            del above[name]
    return sorted(above)


def test_no_modules_import_one_another_in_a_circle() -> None:
    assert not circles(TOP / "diagnose"), "what both need belongs in a module below them"


def test_a_circle_is_noticed(tmp_path: Path) -> None:
    package = tmp_path / "diagnose" / "room"
    package.mkdir(parents=True)
    (package / "below.py").write_text("")
    (package / "one.py").write_text("def f():\n    from diagnose.room import other, below\n")
    (package / "other.py").write_text("if TYPE_CHECKING:\n    from diagnose.room.one import f\n")
    (package / "above.py").write_text("import diagnose.room.one\n")
    assert circles(tmp_path / "diagnose") == ["room.one", "room.other"]
    (package / "other.py").write_text("from diagnose.room import below\n")
    assert circles(tmp_path / "diagnose") == []


def lint_imports(top: Path) -> subprocess.CompletedProcess[str]:
    """Check the import contract on the package that lies in this folder."""
    # Its own interpreter options, because .venv puts the real package on every import path.
    code = f"import sys; sys.path.insert(0, {str(top)!r}); "
    code += "from importlinter.cli import lint_imports_command as run; run(['--no-cache'])"
    return subprocess.run(
        [sys.executable, "-P", "-c", code], cwd=top, capture_output=True, text=True, check=False
    )
