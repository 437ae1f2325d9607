"""Finds and reads the data that ships with the program: ``grammars/`` and ``models/``.

In a checkout they stand beside the package; in an installed wheel they lie inside it.
TOML is pleasant to write and slow to read (tomllib is pure Python), and a spoken phrase
should not wait for it: what was parsed, or worked out of it, is kept as JSON in the user's cache
directory, beside the path, size and time of change of what it came from. Losing that cache costs only time.
"""

from __future__ import annotations

import json
import os
import sys
import zlib
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

from assistant.problem import Problem

_INSIDE = Path(__file__).resolve().parent / "_data"
_BESIDE = Path(__file__).resolve().parent.parent


@cache
def root() -> Path:
    """Give the folder that holds ``grammars/`` and ``models/``."""
    for folder in (_INSIDE, _BESIDE):
        if (folder / "grammars").is_dir() and (folder / "models").is_dir():
            return folder
    raise Problem("grammars/ and models/ are missing from this installation: install dabhand again")


def cache_dir() -> Path:
    """Give the user's cache folder for dabhand (it may not exist)."""
    if sys.platform == "win32":
        base = os.environ.get("LOCALAPPDATA") or str(Path.home() / "AppData" / "Local")
        return Path(base) / "dabhand" / "cache"
    return Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache") / "dabhand"


def read_toml(path: Path) -> dict[str, Any]:
    """Parse a shipped TOML file, through the cache."""
    data: dict[str, Any] = derived(path.stem, (path,), lambda: _parse(path))
    return data


def derived(name: str, sources: tuple[Path, ...], make: Callable[[], Any]) -> Any:
    """Give what ``make`` works out of ``sources``, through the cache; it must survive a trip through JSON.

    A module whose code decides the outcome is a source too.
    """
    of = "|".join(f"{path}|{stat.st_size}|{stat.st_mtime_ns}" for path in sources for stat in (path.stat(),))
    # hashlib would take 3 ms to load; the whole key is kept inside, so a sum that two share harms nothing
    kept = cache_dir() / f"{name}-{zlib.crc32(of.encode()):08x}.json"
    try:
        key, data = json.loads(kept.read_bytes())
        if key == of:
            return data
    except (OSError, ValueError, TypeError):
        pass
    data = make()
    _keep(kept, [of, data])
    return data


def _parse(path: Path) -> dict[str, Any]:
    import tomllib  # 20 ms that a warm cache saves

    with path.open("rb") as file:
        return tomllib.load(file)


def _keep(kept: Path, data: list[Any]) -> None:
    try:
        kept.parent.mkdir(parents=True, exist_ok=True)
        part = kept.with_suffix(f".{os.getpid()}")
        part.write_text(json.dumps(data), encoding="utf-8")
        part.replace(kept)
    except (OSError, TypeError):
        return  # read-only home, or dates in the file: parse it again next time
