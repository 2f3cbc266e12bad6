"""How each number of an audio capture is found, with the band, weighting and window really used."""

from __future__ import annotations

from typing import Protocol

from logbook.core.signals.spectrum import LOBE_BINS, WINDOW

HIGHEST_HARMONIC = 20
SINE = "0 dBFS is the rms of a full-scale sine (AES17)"


class Analysed(Protocol):
    """What the definitions state of an analysis."""

    @property
    def rate_hz(self) -> int:
        """Samples a second."""

    @property
    def frames_used(self) -> int:
        """Length of the transform."""

    @property
    def bandwidth_low_hz(self) -> float:
        """Lower end of the band used."""

    @property
    def bandwidth_high_hz(self) -> float:
        """Upper end of the band used."""

    @property
    def weighting(self) -> str:
        """A, C or Z."""


def definitions_of(found: Analysed) -> dict[str, str]:
    """Say how each number of an audio capture is found.

    Parameters
    ----------
    found : Analysed
        Band, weighting, rate and length of the analysis.

    Returns
    -------
    dict of str to str
        By the name of the number.

    References
    ----------
    AES17-2020 (dBFS, THD+N; from memory); IEC 60268-3 (THD); IEC 61672-1:2013 (weighting); IEEE Std 1241
    (SINAD, effective bits).
    """
    weighted = {"Z": "unweighted (Z)"}.get(found.weighting, f"weighting {found.weighting} (IEC 61672-1)")
    low, high = f"{found.bandwidth_low_hz:.6g}", f"{found.bandwidth_high_hz:.6g}"
    flat = f"from {low} to {high} Hz, {_window(found)}"
    band = f"from {low} to {high} Hz, {weighted}, {_window(found)}"
    whole = f"of every frame, unweighted, up to {found.rate_hz / 2:.6g} Hz"
    volts = "; in volts by the stated full scale"
    harmonics = f"harmonics 2 to {HIGHEST_HARMONIC} below {high} Hz, unweighted, {_window(found)}"
    return {
        "level_dbfs": f"rms {whole}, without the offset; {SINE}",
        "level_dbv": f"rms {whole}, without the offset; relative to 1 V rms by the stated full scale",
        "peak_dbfs": "largest sample without regard to sign, relative to the largest a sample can be",
        "band_level_dbfs": f"rms {band}; {SINE}",
        "band_level_dbv": f"rms {band}; relative to 1 V rms by the stated full scale",
        "dc_offset": f"mean as a share of full scale, {_window(found)}",
        "dc_offset_v": f"mean, {_window(found)}{volts}",
        "frequency_hz": f"centre of the strongest line {flat}",
        "fundamental_dbfs": f"rms of the tone {band}; {SINE}",
        "thd_f_percent": f"rms of {harmonics}, over that of the fundamental (IEC 60268-3)",
        "thd_r_percent": f"rms of {harmonics}, over that of fundamental and harmonics",
        "thd_f_db": f"rms of {harmonics}, over that of the fundamental (IEC 60268-3)",
        "thdn_percent": f"rms of all but the fundamental over the rms of all, {band} (AES17)",
        "thdn_db": f"rms of all but the fundamental over the rms of all, {band} (AES17)",
        "snr_db": f"fundamental over what is neither fundamental nor harmonic, {band}",
        "sinad_db": f"fundamental over all else, {band} (IEEE Std 1241)",
        "enob_bits": "(SINAD - 1.76 dB) / 6.02 dB (IEEE Std 1241)",
    }


def _window(found: Analysed) -> str:
    names = {"blackmanharris7": "seven-term Blackman-Harris window"}
    return f"{names[WINDOW]} over {found.frames_used} frames, lines of {2 * LOBE_BINS + 1} bins"
