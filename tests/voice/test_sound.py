"""Recordings of every odd kind: heard where they can be, one line where they cannot."""

import shutil
import subprocess
import wave
from pathlib import Path

import numpy as np
import pytest

from assistant.cli import main
from assistant.problem import Problem
from assistant.voice.sound import Recording, clipped, decibels, frames, level, wav
from tests.fixtures import voice_clips

ROOT = Path(__file__).resolve().parents[2]
TONE = voice_clips.pcm(8000 * np.sin(np.arange(16_000) * 2 * np.pi * 440 / 16_000))  # one second of A


def heard(path):
    return b"".join(Recording(path).pieces())


def pitch(clip):
    """The strongest frequency, Hz, by a Fourier transform."""
    data = voice_clips.floats(clip)
    return np.fft.rfftfreq(len(data), 1 / 16_000)[np.abs(np.fft.rfft(data)).argmax()]


def write(path, rate, channels, width, data):
    with wave.open(str(path), "wb") as file:
        file.setnchannels(channels)
        file.setsampwidth(width)
        file.setframerate(rate)
        file.writeframes(data)
    return path


def test_16_khz_mono_comes_through_untouched(tmp_path):
    assert heard(voice_clips.write(tmp_path / "a.wav", TONE)) == TONE


def test_48_khz_stereo_and_8_bit_are_converted(tmp_path):
    t = np.arange(48_000) / 48_000
    sine = np.sin(2 * np.pi * 440 * t)
    stereo = np.repeat((8000 * sine).astype("<i2"), 2).tobytes()
    eight = ((sine * 60) + 128).astype("u1").tobytes()
    for path in (write(tmp_path / "s.wav", 48_000, 2, 2, stereo), write(tmp_path / "e.wav", 48_000, 1, 1, eight)):
        clip = heard(path)
        assert len(clip) == pytest.approx(32_000, abs=64)
        assert pitch(clip) == pytest.approx(440, abs=2)


def test_a_truncated_wav_is_heard_as_far_as_it_goes(tmp_path):
    path = voice_clips.write(tmp_path / "cut.wav", TONE)
    path.write_bytes(path.read_bytes()[:10_044])
    recording = Recording(path)
    assert "cut short" in recording.odd
    assert heard(path) == TONE[:10_000]


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "empty"),
        (b"hello, this is no sound\n" * 9, "no sound file"),
        (b"RIFF\x00\x00\x00\x00WAVEjunk", "no sound"),
    ],
)
def test_what_is_no_sound_is_one_line(tmp_path, content, said):
    path = tmp_path / "x.wav"
    path.write_bytes(content)
    with pytest.raises(Problem, match=said) as problem:
        heard(path)
    assert "\n" not in str(problem.value)


def test_a_missing_file_is_one_line(tmp_path):
    with pytest.raises(Problem, match="cannot read"):
        Recording(tmp_path / "none.wav")


def test_a_flac_named_wav_is_heard_as_what_it_is(tmp_path):
    if not shutil.which("sox"):
        pytest.skip("sox is not installed: it makes the FLAC")
    path = voice_clips.write(tmp_path / "a.wav", TONE)
    subprocess.run(["sox", str(path), str(tmp_path / "a.flac")], check=True)
    (tmp_path / "a.flac").rename(path)
    assert "really a FLAC" in Recording(path).odd
    assert pitch(heard(path)) == pytest.approx(440, abs=2)


def test_an_mp3_named_wav_is_told_from_its_head(tmp_path):
    path = tmp_path / "m.wav"
    path.write_bytes(b"ID3\x04\x00\x00\x00\x00\x00\x00" + bytes(400))
    assert "really an MP3" in Recording(path).odd
    with pytest.raises(Problem, match="no sound file"):  # a head and nothing behind it
        heard(path)


def test_clips_are_small_and_come_back_by_the_standard_decoder(tmp_path):
    """Held against miniaudio's G.711 decoder: an eighth of a step at most is lost (G.711: 14 bits in 8)."""
    path = tmp_path / "clip.wav"
    path.write_bytes(wav(TONE))
    assert path.stat().st_size < len(TONE) // 2 + 100
    back, was = voice_clips.floats(heard(path)), voice_clips.floats(TONE)
    assert np.abs(back - was).max() <= np.abs(was).max() / 32 + 8


def test_levels(tmp_path):
    # a sine of amplitude A has RMS A / sqrt 2 (textbook)
    assert level(TONE) == pytest.approx(8000 / 2**0.5, rel=0.01)
    assert decibels(32_768) == pytest.approx(0)
    assert clipped(voice_clips.pcm(np.full(100, 40_000.0))) == 1.0
    assert clipped(TONE) == 0.0


def test_frames_are_of_one_size_and_lose_nothing():
    pieces = iter([TONE[:700], TONE[700:5000], TONE[5000:]])
    cut = list(frames(pieces))
    assert {len(f) for f in cut} == {1024}
    assert b"".join(cut)[: len(TONE)] == TONE


# -- a recording, as ``dabhand listen --wav`` takes it --------------------------------------------------


@pytest.fixture
def listen(tmp_path, capsys):
    """Hear a file with the Linnet's journal: (exit status, what was printed, the lines of error)."""
    job = tmp_path / "linnet.sqlite"
    main(["--job", str(job), "load", str(ROOT / "examples" / "linnet.toml"), "--at", "2026-03-16T08:00"])

    def go(path, *words):
        capsys.readouterr()
        status = main(["--job", str(job), "listen", "--wav", str(path), "--at", "2026-03-18T10:30", *words])
        out, err = capsys.readouterr()
        return status, out, err.strip().splitlines()

    return go


@pytest.fixture
def sanded(spoken):
    return spoken("sanded the hatch trim with one twenty")


def stereo_48k(path, clip):
    from scipy.signal import resample_poly

    write(path, 48_000, 2, 2, voice_clips.pcm(np.repeat(resample_poly(voice_clips.floats(clip), 3, 1), 2)))


def eight_bits(path, clip):
    write(path, 16_000, 1, 1, (voice_clips.floats(clip) / 256 + 128).clip(0, 255).astype("u1").tobytes())


def truncated(path, clip):
    data = voice_clips.write(path, clip).read_bytes()
    path.write_bytes(data[: len(data) * 4 // 5])


def shouted(path, clip):
    voice_clips.write(path, voice_clips.pcm(voice_clips.floats(clip) * 12))


@pytest.mark.parametrize(
    ("make", "told"),
    [(stereo_48k, None), (eight_bits, None), (truncated, "cut short"), (shouted, None)],
    ids=["48 kHz stereo", "8 bits", "truncated", "clipped"],
)
def test_an_odd_recording_is_heard_and_what_is_wrong_with_it_told_in_a_line(listen, sanded, tmp_path, make, told):
    path = tmp_path / "said.wav"
    make(path, sanded)
    status, out, err = listen(path)
    assert status == 0
    assert "Sanded the hatch trim with 120" in out
    assert [told in line for line in err] == [True] if told else err == []


def mp3_of_silence(path, clip):
    """MPEG-1 layer III at 32 kbit/s, 44.1 kHz, mono (ISO 11172-3): 104 bytes a frame, all of them silent."""
    path.write_bytes((b"\xff\xfb\x10\xc0" + bytes(100)) * 80)


@pytest.mark.parametrize(
    ("make", "lines"),
    [
        (mp3_of_silence, ["really an MP3", "nobody speaks"]),
        (lambda p, _: p.write_bytes(b""), ["empty"]),
        (lambda p, _: p.write_text("no sound at all\n" * 40), ["no sound file"]),
        (lambda p, _: p.mkdir(), ["cannot read"]),
        (lambda p, _: None, ["cannot read"]),
        (lambda p, _: voice_clips.write(p, bytes(64_000)), ["nobody speaks"]),
        (lambda p, _: p.write_bytes(b"RIFF\x24\x00\x00\x00WAVEfmt "), ["no sound file"]),
    ],
    ids=["MP3 named wav", "empty", "text", "folder", "missing", "silence", "header alone"],
)
def test_a_recording_that_cannot_be_heard_is_a_line_and_the_journal_still_works(listen, tmp_path, make, lines, capsys):
    path = tmp_path / "said.wav"
    make(path, b"")
    status, out, err = listen(path)
    assert status in (1, 2)
    assert out == ""
    assert len(err) == len(lines)
    assert all(word in line for word, line in zip(lines, err, strict=True))
    assert main(["--job", str(tmp_path / "linnet.sqlite"), "say", "primed the bulkhead"]) == 0


def test_an_hour_of_silence_is_heard_to_its_end(listen, tmp_path):
    path = tmp_path / "hour.wav"
    write(path, 16_000, 1, 2, bytes(3600 * 32_000))
    status, _, err = listen(path)
    assert status == 1
    assert "nobody speaks in hour.wav" in err[0]


@pytest.mark.parametrize("rule", [True, False], ids=["with espeak", "without"])
def test_a_name_that_nobody_can_pronounce_stops_nothing(listen, sanded, tmp_path, monkeypatch, rule):
    if not rule:
        monkeypatch.setattr("assistant.voice.engines.letter_to_sound", lambda _word: None)
    main(["--job", str(tmp_path / "linnet.sqlite"), "say", "new piece Zxqwk"])
    status, out, err = listen(voice_clips.write(tmp_path / "said.wav", sanded))
    assert status == 0
    assert "Sanded the hatch trim with 120" in out
    assert err == [] if rule else "zxqwk" in err[0]
    assert len(err) < 2
