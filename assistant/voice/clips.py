"""What was heard, kept as small sound files beside the journal so that nothing misheard is lost.

A clip is named by the events that it became: ``12.wav``, or ``12-14.wav`` for three; an utterance that became none
has its time, ``heard-20260314T020500.wav``. All of it stays on this machine.
"""

from __future__ import annotations

import re
import time
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path
from typing import Final

from assistant.voice.sound import wav

#: Days that a clip is kept unless told otherwise; 0 keeps none, None keeps all.
KEPT_DAYS: Final = 60
_NAME: Final = re.compile(r"(\d+)(?:-(\d+))?\.wav$")


def folder_for(journal: Path) -> Path:
    """Give the folder of a journal's clips: beside it, with its name."""
    return journal.with_name(journal.stem + "-clips")


def keep(folder: Path, clip: bytes, events: Sequence[int], now: datetime) -> Path | None:
    """Write a clip; None if the disk does not let it, which must not stop the work."""
    if events:
        first, last = min(events), max(events)
        name = f"{first}.wav" if first == last else f"{first}-{last}.wav"
    else:
        name = f"heard-{now:%Y%m%dT%H%M%S}.wav"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        path = folder / name
        part = path.with_suffix(".part")
        part.write_bytes(wav(clip))
        part.replace(path)
    except OSError:
        return None
    return path


def find(folder: Path, event: int) -> Path | None:
    """Give the clip that an event came from, or None."""
    exact = folder / f"{event}.wav"
    if exact.exists():
        return exact
    for path in folder.glob("*-*.wav"):
        if (m := _NAME.match(path.name)) and int(m[1]) <= event <= int(m[2] or m[1]):
            return path
    return None


def age(folder: Path, days: int | None = KEPT_DAYS, today: float | None = None) -> int:
    """Remove clips older than ``days`` and give how many; ``today`` is a time in seconds since 1970."""
    if days is None or not folder.is_dir():
        return 0
    limit = (time.time() if today is None else today) - days * 86_400
    gone = 0
    for path in folder.glob("*.wav"):
        if (_NAME.match(path.name) or path.name.startswith("heard-")) and path.stat().st_mtime < limit:
            path.unlink(missing_ok=True)
            gone += 1
    return gone
