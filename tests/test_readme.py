"""What the documents say is so: the commands, the cautions, the links, and the reason for each dependency."""

from __future__ import annotations

import re
import subprocess
import sys
import tomllib
from importlib.metadata import packages_distributions
from pathlib import Path

import pytest

from tests.readme import README, cautions, commands
from tests.rules.sources import HOUSE, imported, python_files, syntax

TEXT = README.read_text("utf-8")
COMMANDS = commands(TEXT)
DOCUMENTS = sorted([*HOUSE.glob("*.md"), *HOUSE.glob("docs/*.md"), *HOUSE.glob("sample_images/*.md")])


def test_there_are_two_commands_each_in_two_shells() -> None:
    assert list(COMMANDS) == ["example", "tests", "example in PowerShell", "tests in PowerShell"]


@pytest.mark.parametrize("name", ["example", "tests"])
def test_a_command_sets_itself_up_and_stays_in_its_own_environment(name: str) -> None:
    make, install, use = COMMANDS[name].split(" && ")
    assert make == "python3 -m venv .venv"
    assert install.startswith(".venv/bin/python -m pip install -e ")
    assert use.startswith(".venv/bin/")


@pytest.mark.parametrize("name", ["example", "tests"])
def test_powershell_is_told_the_same(name: str) -> None:
    make, install, use = COMMANDS[name].replace(".venv/bin/", ".venv\\Scripts\\").split(" && ")
    make = make.replace("python3", "py -3")
    assert COMMANDS[f"{name} in PowerShell"] == f"{make}; if ($?) {{ {install}; if ($?) {{ {use} }} }}"


def test_powershell_is_marked_as_untried() -> None:
    before = TEXT[: TEXT.index("<!-- command: example in PowerShell -->")].rstrip().splitlines()[-1]
    assert before.endswith("for Windows PowerShell, not tried yet:")


def test_the_check_command_takes_the_commands_from_the_readme() -> None:
    script = (HOUSE / ".ci" / "run").read_text("utf-8")
    assert "readme_command example" in script
    assert "readme_command tests" in script
    assert "pip install" not in script
    asked = [sys.executable, "-m", "tests.readme", "tests"]
    printed = subprocess.run(asked, cwd=HOUSE, capture_output=True, text=True, encoding="utf-8", check=True).stdout
    assert printed == COMMANDS["tests"] + "\n"


def test_the_cautions_are_those_of_the_page_over_the_bench() -> None:
    section = TEXT.split("## Before a bottle is opened\n\n")[1].split("\n## ")[0]
    listed = section[: section.index("\n\n") + 1]
    assert listed == cautions(), "python -m tests.readme cautions prints what belongs there"


@pytest.mark.parametrize("document", DOCUMENTS, ids=lambda path: path.relative_to(HOUSE).as_posix())
def test_every_link_leads_somewhere(document: Path) -> None:
    links = [link.split("#")[0] for link in re.findall(r"\]\(([^)\s]+)\)", document.read_text("utf-8"))]
    here = [link for link in links if link and not re.match(r"\w+:", link)]
    assert [link for link in here if not (document.parent / link).exists()] == []


PROJECT = tomllib.loads((HOUSE / "pyproject.toml").read_text("utf-8"))


def names(requirements: list[str]) -> set[str]:
    """The packages that are asked for, spelled as pip compares them."""
    return {re.sub(r"[-_.]+", "-", re.split(r"[^\w.-]", requirement)[0]).lower() for requirement in requirements}


def used_by(*rooms: str) -> set[str]:
    """The packages that bring what these rooms import."""
    brought_by = packages_distributions()
    modules = {name.split(".")[0] for path in python_files(HOUSE, *rooms) for _, name in imported(syntax(HOUSE, path))}
    ours = set(sys.stdlib_module_names) | {"app", "colourcore", "tests"}
    return names([brought_by.get(module, [module])[0] for module in modules - ours])


def test_every_dependency_has_its_reason_written_down() -> None:
    project = PROJECT["project"]
    asked = PROJECT["build-system"]["requires"] + project["dependencies"] + project["optional-dependencies"]["test"]
    text = (HOUSE / "docs" / "dependencies.md").read_text("utf-8")
    reasons = dict(re.findall(r"^\| ([\w.-]+) \| (.+) \|$", text, re.MULTILINE))
    reasons.pop("package")
    assert names(list(reasons)) == names(asked)
    assert [name for name, reason in reasons.items() if len(reason.split()) < 4] == []


def test_the_program_asks_for_what_it_uses_and_for_nothing_else() -> None:
    needed_by_others = {"matplotlib", "tzdata"}  # by colour-science, and by zoneinfo on Windows
    used = used_by("app", "colourcore")
    assert used.isdisjoint(needed_by_others)
    assert used | needed_by_others == names(PROJECT["project"]["dependencies"])


def test_the_tests_ask_for_all_that_they_use() -> None:
    asked = PROJECT["project"]["dependencies"] + PROJECT["project"]["optional-dependencies"]["test"]
    assert used_by("tests") <= names(asked)


def test_the_map_names_every_room_and_nothing_else() -> None:
    text = (HOUSE / "DEVELOPERS.md").read_text("utf-8")
    rooms = {f"colourcore/{path.name}/" for path in (HOUSE / "colourcore").iterdir() if (path / "__init__.py").exists()}
    rooms |= {f"colourcore/{path.name}" for path in (HOUSE / "colourcore").glob("[a-z]*.py")} | {"app/"}
    table = dict(re.findall(r"^\| `([^`]+)` \| [^|]+ \|([^|]*)\|$", text, re.MULTILINE))
    assert set(table) == rooms
    doors = [Path(room) / door.strip("` ") for room, door in table.items() if door.strip()]
    assert [str(door) for door in doors if not (HOUSE / door).exists()] == []


def test_every_place_that_contributors_are_sent_to_exists() -> None:
    text = (HOUSE / "DEVELOPERS.md").read_text("utf-8")
    places = re.findall(r"`((?:app|tests|docs|colourcore|sample_images|\.ci)/[\w./-]*)`", text)
    assert len(places) > 10
    places += [f"{module.replace('.', '/')}.py" for module in re.findall(r"`python -m (tests[\w.]+)", text)]
    assert [place for place in places if not (HOUSE / place).exists()] == []
