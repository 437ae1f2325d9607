"""The house keeps its rules: who may know whom, who may look at the clock, and how long a function is."""

from __future__ import annotations

import ast
import json
import os
import re
import subprocess
import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
HOUSE = ROOT / "assistant"
MODULES = sorted(HOUSE.rglob("*.py"))
#: A function fits a screen; twice that and it does not.
LONGEST = 60


@cache
def tree(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"), str(path))


def room(path: Path) -> str:
    """The folder a module lies in, or its own name at the top."""
    return path.relative_to(HOUSE).parts[0].removesuffix(".py")


def imported(path: Path) -> set[str]:
    """Every module a module imports, wherever in it, with ``from x import y`` as both x and x.y."""
    found: set[str] = set()
    for node in ast.walk(tree(path)):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: a relative import hides who is known"
            found |= {str(node.module), *(f"{node.module}.{alias.name}" for alias in node.names)}
    return found


def named(path: Path) -> str:
    return str(path.relative_to(ROOT))


def of_room(*names: str) -> Iterator[Path]:
    yield from (path for path in MODULES if room(path) in names)


def offences(rooms: tuple[str, ...], forbidden: tuple[str, ...]) -> list[str]:
    return [
        f"{named(path)} imports {name}"
        for path in of_room(*rooms)
        for name in sorted(imported(path))
        if any(name == bad or name.startswith(bad + ".") for bad in forbidden)
    ]


def within(*rooms: str) -> tuple[str, ...]:
    return tuple(f"assistant.{name}" for name in rooms)


ABOVE = ("turn", "cli", "chat", "reply", "dialogue")
STORE = (
    "journal.store",
    "journal.access",
    "journal.schema",
    "journal.transfer",
    "journal.checkpoint",
    "journal.rows",
    "journal.readings",
)


@pytest.mark.parametrize(
    ("rooms", "forbidden"),
    [
        (("craft",), ("language", "voice", "show", *STORE, *ABOVE)),
        (("language",), ("craft", "voice", "show", *STORE, *ABOVE)),
        (("voice",), ("craft", "language", "library", "show", "journal", *ABOVE)),
        (("library",), ("craft", "language", "voice", "show", *STORE, *ABOVE)),
        (("journal",), ("craft", "language", "voice", "show", "library", *ABOVE)),
        (("dialogue",), ("voice", "turn", "cli", "chat")),
        (("turn",), ("voice", "cli", "chat")),
    ],
    ids=lambda value: value[0] if len(value) == 1 else "",
)
def test_a_room_knows_only_those_below_it(rooms: tuple[str, ...], forbidden: tuple[str, ...]) -> None:
    assert list(of_room(*rooms)), "the room is there at all"
    assert offences(rooms, within(*forbidden)) == []


#: The rooms a phrase goes through on its way to a meaning, in order.
READING = (
    "tokens",
    "wordlist",
    "spelling",
    "names",
    "chunks",
    "groups",
    "items",
    "clauses",
    "sentences",
    "building",
    "reader",
)


def known_to(name: str) -> set[str]:
    """Every module of the language that one knows, itself or through others."""
    seen: set[str] = set()
    waiting = [f"assistant.language.{name}"]
    while waiting:
        module = waiting.pop()
        path = HOUSE.joinpath(*module.split(".")[1:]).with_suffix(".py")
        if module not in seen and path.exists():
            seen.add(module)
            waiting += [other for other in imported(path) if other.startswith("assistant.language.")]
    return seen


@pytest.mark.parametrize("stage", READING)
def test_a_stage_of_reading_knows_none_that_comes_after_it(stage: str) -> None:
    known = known_to(stage)
    assert known, "the stage is there at all"
    later = READING[READING.index(stage) + 1 :]
    assert [name for name in later if f"assistant.language.{name}" in known] == []


#: A module of the language that is longer cannot be read at a sitting.
MOST_LINES = 400


def test_a_module_of_the_language_is_of_a_readable_length() -> None:
    lengths = {named(path): len(path.read_text(encoding="utf-8").splitlines()) for path in of_room("language")}
    assert {name: length for name, length in lengths.items() if length > MOST_LINES} == {}


def test_the_craft_does_nothing_but_reckon() -> None:
    """No files, no database, no processes, no printing: the same question always has the same answer."""
    outside = (
        "sqlite3",
        "sqlite_utils",
        "subprocess",
        "socket",
        "urllib",
        "http",
        "shutil",
        "tempfile",
        "secrets",
        "prompt_toolkit",
    )
    assert offences(("craft",), outside) == []
    chance = [  # a generator with its own seed always gives the same
        f"{named(path)}:{node.lineno}"
        for path in of_room("craft")
        for node in ast.walk(tree(path))
        if isinstance(node, ast.Attribute)
        and isinstance(node.value, ast.Name)
        and node.value.id == "random"
        and node.attr != "Random"
    ]
    assert chance == []
    calls = [
        f"{named(path)}:{node.lineno}"
        for path in of_room("craft")
        for node in ast.walk(tree(path))
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in ("open", "print", "input")
    ]
    assert calls == []


def test_nothing_goes_over_a_network() -> None:
    assert (
        offences(
            tuple({room(path) for path in MODULES} - {"show", "voice"}),
            ("socket", "urllib", "http", "requests", "ssl", "ftplib", "smtplib"),
        )
        == []
    )


CLOCK_ROOMS = {"cli", "chat", "voice"}
READS = {
    "datetime": {"now", "utcnow", "today"},
    "date": {"today"},
    "time": {"time", "time_ns", "localtime", "gmtime", "ctime", "asctime"},
}


def clock_reads(path: Path) -> list[str]:
    """Where a module asks what time it is."""
    found = []
    for node in ast.walk(tree(path)):
        if isinstance(node, ast.Attribute):
            owner = (
                node.value.attr
                if isinstance(node.value, ast.Attribute)
                else node.value.id
                if isinstance(node.value, ast.Name)
                else ""
            )
            owner = {"dt": "datetime"}.get(owner, owner)
            if node.attr in READS.get(owner, ()):
                found.append(f"{named(path)}:{node.lineno} {ast.unparse(node)}")
        elif isinstance(node, ast.ImportFrom) and node.module == "time":
            found += [
                f"{named(path)}:{node.lineno} from time import {a.name}" for a in node.names if a.name in READS["time"]
            ]
        elif (
            isinstance(node, ast.Constant)
            and isinstance(node.value, str)
            and re.search(r"current_timestamp|'now'", node.value, re.IGNORECASE)
        ):
            found.append(f"{named(path)}:{node.lineno} SQL asks for now")
    return found


def test_only_the_doors_look_at_the_clock() -> None:
    inside = [path for path in MODULES if room(path) not in CLOCK_ROOMS]
    assert [line for path in inside for line in clock_reads(path)] == []
    assert [line for path in of_room("cli") for line in clock_reads(path)], "the check finds the read that is there"


#: Words of this trade and of no other; what a voice may say is handed to it.
TRADE = re.compile(
    r"\b(coats?|recoat|overcoat\w*|varnish\w*|undercoat\w*|primer\w*|epoxy|hardener|resin|sand(ed|ing|paper)|grit|bulkhead|hatch|paint\w*|glue\w*)\b",
    re.IGNORECASE,
)


def test_the_voice_knows_no_word_of_the_trade() -> None:
    found = []
    for path in of_room("voice"):
        about = {
            id(node.body[0].value)
            for node in ast.walk(tree(path))
            if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef)
            and node.body
            and isinstance(node.body[0], ast.Expr)
        }
        for node in ast.walk(tree(path)):
            words = [
                getattr(node, "id", ""),
                getattr(node, "name", ""),
                getattr(node, "attr", ""),
                getattr(node, "arg", ""),
            ]
            if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in about:
                words.append(node.value)
            found += [
                f"{named(path)}:{getattr(node, 'lineno', 0)} {w}"
                for w in words
                if isinstance(w, str) and TRADE.search(w.replace("_", " "))
            ]
    assert found == []


def functions() -> Iterator[tuple[Path, ast.FunctionDef]]:
    yield from ((path, node) for path in MODULES for node in ast.walk(tree(path)) if isinstance(node, ast.FunctionDef))


def test_a_function_fits_on_a_screen() -> None:
    lengths = {f"{named(path)} {node.name}": (node.end_lineno or 0) - node.lineno + 1 for path, node in functions()}
    assert {name: length for name, length in lengths.items() if length > LONGEST} == {}
    assert len(lengths) > 300


def test_what_is_slow_to_import_is_imported_late() -> None:
    slow = {
        "dateparser",
        "pint",
        "sqlite_utils",
        "prompt_toolkit",
        "ortools",
        "matplotlib",
        "tzlocal",
        "vosk",
        "pocketsphinx",
        "miniaudio",
        "numpy",
    }
    found = []
    for path in MODULES:
        for node in tree(path).body:
            names = (
                [a.name for a in node.names]
                if isinstance(node, ast.Import)
                else [str(node.module)]
                if isinstance(node, ast.ImportFrom)
                else []
            )
            found += [f"{named(path)} imports {name} at once" for name in names if name.split(".")[0] in slow]
    assert found == []


def test_a_plain_phrase_loads_none_of_the_slow_ones(tmp_path: Path) -> None:
    code = (
        "import sys, json; from assistant.cli import main; job = sys.argv[1]\n"
        "main(['load', sys.argv[2], '--job', job]); before = set(sys.modules)\n"
        "status = main(['say', 'second coat on the hatch trim at noon', '--job', job])\n"
        "print(json.dumps([status, sorted({m.split('.')[0] for m in set(sys.modules) - before})]))"
    )
    env = {**os.environ, "PYTHONPATH": str(ROOT)}
    words = [sys.executable, "-c", code, str(tmp_path / "job.sqlite"), str(ROOT / "examples" / "linnet.toml")]
    done = subprocess.run(words, capture_output=True, text=True, env=env, timeout=60, check=True)
    status, loaded = json.loads(done.stdout.splitlines()[-1])
    assert status == 0
    assert not set(loaded) & {
        "dateparser",
        "pint",
        "prompt_toolkit",
        "ortools",
        "matplotlib",
        "numpy",
        "asyncio",
        "vosk",
        "pocketsphinx",
    }


def test_every_folder_of_data_the_program_reads_goes_into_the_wheel() -> None:
    import tomllib

    wheel = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["hatch"]["build"]["targets"][
        "wheel"
    ]
    assert {"grammars", "models", "examples"} <= set(wheel["force-include"])
    assert all((ROOT / folder).is_dir() for folder in wheel["force-include"])


# -- installed -----------------------------------------------------------------------------------------------


@pytest.mark.skipif(not os.environ.get("DABHAND_SLOW"), reason="builds a wheel and an environment: set DABHAND_SLOW=1")
def test_the_wheel_works_from_another_directory(tmp_path: Path) -> None:
    def done(*words: str | Path, cwd: Path = tmp_path, status: int = 0, **environment: str) -> str:
        env = {k: v for k, v in os.environ.items() if k not in ("PYTHONPATH", "DABHAND_JOB")}
        env |= {
            "HOME": str(tmp_path / "home"),
            "XDG_DATA_HOME": str(tmp_path / "data"),
            "XDG_CACHE_HOME": str(tmp_path / "cache"),
            **environment,
        }
        ran = subprocess.run(
            [str(w) for w in words], cwd=cwd, env=env, capture_output=True, text=True, timeout=600, check=False
        )
        assert ran.returncode == status, ran.stderr
        return ran.stdout

    (tmp_path / "home").mkdir()
    done(
        sys.executable,
        "-m",
        "pip",
        "wheel",
        "--no-deps",
        "--quiet",
        "--disable-pip-version-check",
        "-w",
        tmp_path / "wheel",
        ROOT,
        HOME=os.environ.get("HOME", ""),
    )
    (wheel,) = (tmp_path / "wheel").glob("dabhand-*.whl")
    env = tmp_path / "env"
    done(sys.executable, "-m", "venv", "--without-pip", env)
    (site,) = env.glob("lib/python*/site-packages")
    done(
        sys.executable,
        "-m",
        "pip",
        "install",
        "--no-deps",
        "--quiet",
        "--disable-pip-version-check",
        "--target",
        site,
        wheel,
    )
    # the libraries it needs come from here; the program itself must not
    import rapidfuzz

    (site / "libraries.pth").write_text(f"{Path(rapidfuzz.__file__).parents[1]}\n", encoding="utf-8")
    python = env / "bin" / "python"
    where = done(python, "-c", "import assistant; print(assistant.__file__)").strip()
    assert where.startswith(str(site))

    job = tmp_path / "job.sqlite"
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    example = site / "assistant" / "_data" / "examples" / "linnet.toml"
    program = [python, "-c", "import sys; from assistant.cli import main; sys.exit(main())"]
    done(*program, "load", example, "--job", job, "--at", "2026-03-16T08:00", cwd=elsewhere)
    out = done(
        *program,
        "say",
        "secnd coat of varnsh on the hach trim at noon",
        "--job",
        job,
        "--at",
        "2026-03-16T14:00",
        cwd=elsewhere,
    )
    assert out.startswith("Second coat of amber varnish on the hatch trim, 12:00.")
    out = done(*program, "say", "when can I recoat it", "--job", job, "--at", "2026-03-16T14:01", cwd=elsewhere)
    assert "the hatch trim can be recoated" in out
    assert "varnish-polyurethane-1k" in done(*program, "labels", "--job", job, cwd=elsewhere)
    assert (site / "bin" / "dabhand").exists() or list(site.glob("dabhand-*.dist-info/entry_points.txt"))
    assert not any(elsewhere.iterdir())
