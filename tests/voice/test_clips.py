"""What was heard is kept, found by its event, and forgotten in time."""

import os
from datetime import UTC, datetime

from assistant.voice import clips

NOW = datetime(2026, 3, 14, 2, 5, tzinfo=UTC)
SOUND = bytes(3200)


def test_a_clip_is_named_by_its_events_and_found_by_any_of_them(tmp_path):
    one = clips.keep(tmp_path, SOUND, [7], NOW)
    three = clips.keep(tmp_path, SOUND, [9, 10, 11], NOW)
    assert (one.name, three.name) == ("7.wav", "9-11.wav")
    assert clips.find(tmp_path, 7) == one
    assert clips.find(tmp_path, 10) == three
    assert clips.find(tmp_path, 8) is None


def test_what_became_no_event_is_kept_by_its_time(tmp_path):
    assert clips.keep(tmp_path, SOUND, [], NOW).name == "heard-20260314T020500.wav"


def test_old_clips_go_and_nothing_else_does(tmp_path):
    old = clips.keep(tmp_path, SOUND, [1], NOW)
    young = clips.keep(tmp_path, SOUND, [2], NOW)
    song = tmp_path / "song.wav"
    song.write_bytes(b"x")
    long_ago = young.stat().st_mtime - 61 * 86_400
    os.utime(old, (long_ago, long_ago))
    os.utime(song, (long_ago, long_ago))
    assert clips.age(tmp_path, None) == 0
    assert clips.age(tmp_path) == 1
    assert not old.exists()
    assert young.exists()
    assert song.exists()


def test_a_full_or_closed_disk_does_not_stop_the_work(tmp_path):
    blocked = tmp_path / "file"
    blocked.write_text("in the way")
    assert clips.keep(blocked / "clips", SOUND, [1], NOW) is None


def test_the_folder_stands_beside_the_journal(tmp_path):
    assert clips.folder_for(tmp_path / "linnet.sqlite") == tmp_path / "linnet-clips"
