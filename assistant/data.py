"""Finds and reads the data that ships with the program: ``grammars/`` and ``models/``.

In a checkout they stand beside the package; in an installed wheel they lie inside it.
TOML is pleasant to write and slow to read (tomllib is pure Python), and a spoken phrase
should not wait for it: what was parsed is kept as JSON in the user's cache directory, keyed
by path, size and time of change. Losing that cache costs only time.
"""

from __future__ import annotations

import hashlib
import json
import os
import sys
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
    stat = path.stat()
    key = hashlib.sha1(f"{path}|{stat.st_size}|{stat.st_mtime_ns}".encode(), usedforsecurity=False).hexdigest()
    kept = cache_dir() / f"{path.stem}-{key[:16]}.json"
    try:
        data: dict[str, Any] = json.loads(kept.read_bytes())
    except (OSError, ValueError):
        data = _parse(path)
        _keep(kept, data)
    return data


def _parse(path: Path) -> dict[str, Any]:
    import tomllib  # 20 ms that a warm cache saves

    with path.open("rb") as file:
        return tomllib.load(file)


def _keep(kept: Path, data: dict[str, Any]) -> None:
    try:
        kept.parent.mkdir(parents=True, exist_ok=True)
        part = kept.with_suffix(f".{os.getpid()}")
        part.write_text(json.dumps(data), encoding="utf-8")
        part.replace(kept)
    except (OSError, TypeError):
        return  # read-only home, or dates in the file: parse it again next time
