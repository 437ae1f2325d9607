"""Takes steady noise out of a stream before it is recognised.

Each window of 25 ms is weighed frequency by frequency: Ephraim and Malah's log-spectral amplitude estimator with
their decision-directed guess of speech over noise (IEEE Trans. ASSP 33, 1985), over a noise that is tracked through
speech by its probability (Gerkmann and Hendriks, IEEE Trans. ASLP 20, 2012). Measured, it brings more sentences back
from a sander than WebRTC's suppressor or Speex's. WebRTC's makes other mistakes: what both make of a sound is
surer than what either does (:func:`otherwise`). The clip that is kept is the sound as it came.
"""

from __future__ import annotations

from typing import Any, Final

_WINDOW, _HOP = 400, 100  # samples: 25 ms, the recogniser's own, and a quarter of it
_FLOOR: Final = 0.1  # no frequency is turned down further: holes sound like no speech the model knows
_MEMORY: Final = 0.98  # of the last window's speech over noise in the guess of this one's
_LEAST: Final = 10**-2.5  # speech over noise where there is no speech
_SLOW: Final = 0.9  # of the old noise in the new
_EXPECTED: Final = 10**1.5  # speech over noise where there is speech, in the tracker's model
_SETTLED, _STUCK = 0.9, 0.99  # of the mean probability of speech kept, and the most it may be for good
_HUSH: Final = 9.0 * _WINDOW / 2  # noise of three steps of the sample: below it there is nothing to take out


_WEBRTC: Final = 3  # strength, of 0 to 4
_STEP: Final = 320  # bytes in 10 ms


def otherwise(clip: bytes) -> bytes:
    """Give a whole clip without its noise in the other way; b"" where webrtc-noise-gain is missing."""
    try:
        from webrtc_noise_gain import AudioProcessor
    except ImportError:
        return b""
    process = AudioProcessor(0, _WEBRTC).Process10ms
    steps = [clip[i : i + _STEP] for i in range(0, len(clip) - _STEP + 1, _STEP)]
    for step in steps:  # once through, so that the noise is known from the first word on
        process(step)
    return b"".join(process(step).audio for step in steps)


class Suppressor:
    """One stream's filter. Where numpy is missing, sound passes as it is (``on`` says so)."""

    def __init__(self, *, on: bool = True) -> None:
        self._np: Any = None
        self._input: Any = None
        self._overlap: Any = None
        self._shape: Any = None
        self._noise: Any = None  # the power of each frequency
        self._before: Any = None  # speech over noise of the last window, as it was given out
        self._mean: Any = None  # of the probability of speech
        if not on:
            return
        try:
            import numpy as np
        except ImportError:
            return
        self._np = np
        self._shape = np.sqrt(np.hanning(_WINDOW + 1)[:_WINDOW])
        self._input = np.zeros(_WINDOW - _HOP)
        self._overlap = np.zeros(_WINDOW - _HOP)

    @property
    def on(self) -> bool:
        """Whether anything is taken out."""
        return self._np is not None

    def __call__(self, piece: bytes) -> bytes:
        """Give the sound without the noise, 19 ms late; what does not fill a hop (6 ms) comes with the next piece."""
        np = self._np
        if np is None:
            return piece
        data = np.concatenate([self._input, np.frombuffer(piece, dtype="<i2")])
        hops = max(0, (len(data) - _WINDOW) // _HOP + 1)
        self._input = data[hops * _HOP :]
        if not hops:
            return b""
        windows = np.lib.stride_tricks.sliding_window_view(data, _WINDOW)[::_HOP][:hops]
        spectra = np.fft.rfft(windows * self._shape, axis=1)
        powers = np.abs(spectra) ** 2
        gains = np.array([self._gain(power) for power in powers])
        out = np.zeros(_WINDOW - _HOP + hops * _HOP)
        out[: len(self._overlap)] = self._overlap
        for i, window in enumerate(np.fft.irfft(spectra * gains, _WINDOW, axis=1) * self._shape):
            out[i * _HOP : i * _HOP + _WINDOW] += window
        self._overlap = out[hops * _HOP :]
        whole = np.round(out[: hops * _HOP] * (2 * _HOP / _WINDOW))
        return bytes(np.clip(whole, -32768, 32767).astype("<i2").tobytes())

    def _gain(self, power: Any) -> Any:
        """Give what each frequency of a window is multiplied by."""
        np = self._np
        noise = self._tracked(power)
        over = np.maximum(power, 1e-3) / noise
        if self._before is None:
            self._before = np.zeros_like(power)
        speech = np.maximum(_MEMORY * self._before + (1 - _MEMORY) * np.maximum(over - 1, 0), _LEAST)
        wiener = speech / (1 + speech)
        gain = np.clip(wiener * np.exp(0.5 * self._integral(wiener * over)), _FLOOR, 1.0)
        self._before = gain * gain * over
        return gain

    def _tracked(self, power: Any) -> Any:
        """Give the noise by now: what is probably no speech moves it."""
        np = self._np
        if self._noise is None:
            self._noise, self._mean = np.maximum(power, _HUSH), np.full_like(power, 0.5)
            return self._noise
        exponent = np.minimum(power / self._noise * _EXPECTED / (1 + _EXPECTED), 60)
        speaking = 1 / (1 + (1 + _EXPECTED) * np.exp(-exponent))
        self._mean = _SETTLED * self._mean + (1 - _SETTLED) * speaking
        speaking = np.where(self._mean > _STUCK, np.minimum(speaking, _STUCK), speaking)
        new = speaking * self._noise + (1 - speaking) * power
        self._noise = np.maximum(_SLOW * self._noise + (1 - _SLOW) * new, _HUSH)
        return self._noise

    def _integral(self, v: Any) -> Any:
        """Give the exponential integral E1 within a few percent (Abramowitz and Stegun 5.1.53 and 5.1.54)."""
        np = self._np
        small = np.clip(v, 1e-3, 1.0)
        low = (
            -np.log(small) - 0.57721566 + small * (0.99999193 + small * (-0.24991055 + small * (0.05519968
            + small * (-0.00976004 + small * 0.00107857))))
        )  # fmt: skip
        large = np.maximum(v, 1.0)
        high = (
            np.exp(-np.minimum(large, 60.0))
            / large
            * (large * (large + 2.334733) + 0.250621)
            / (large * (large + 3.330657) + 1.681534)
        )
        return np.where(v <= 1.0, low, high)
