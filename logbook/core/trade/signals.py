"""Ready-made calculations of filters, levels, noise and sensors."""

from logbook.core.trade.ready_made import ReadyMade, ReadyPart

_CP = "common practice"
_BOLTZMANN = "Johnson-Nyquist; k = 1.380649e-23 J/K exact, SI Brochure, 9th ed. (2019)"
_DBU = "0 dBu = √(1 mW × 600 Ω), common practice (IEC 60268 series, ITU-R usage)"
_SALLEN_KEY = "Sallen and Key (1955), unity gain; textbook formula"
_PT100 = "IEC 60751:2008, coefficients A, B and C"
_SECTION = (
    ReadyPart("r1", "first resistor", "Ω", "10 kΩ", "1 %"),
    ReadyPart("r2", "second resistor", "Ω", "10 kΩ", "1 %"),
    ReadyPart("c1", "capacitor to the output", "F", "22 nF", "5 %"),
    ReadyPart("c2", "capacitor to ground", "F", "11 nF", "5 %"),
)
_NOISE = (
    ReadyPart("r", "resistance", "Ω", "1 kΩ"),
    ReadyPart("t", "temperature, in kelvin", "K", "300 K"),
)
_F0 = ReadyPart("f0", "corner frequency of one section", "Hz", "1 kHz")
_RMS = ReadyPart("v", "rms voltage", "V", "1 V")
_PP = ReadyPart("vpp", "peak-to-peak voltage", "V", "1 V")

SIGNALS = (
    ReadyMade(
        "rc-corner", "RC corner", "1/(2*pi*r*c)",
        (
            ReadyPart("r", "resistor", "Ω", "10 kΩ", "1 %"),
            ReadyPart("c", "capacitor", "F", "10 nF", "5 %"),
        ),
        "Hz", "fc = 1/(2π RC), " + _CP,
    ),
    ReadyMade(
        "lc-resonance", "LC resonance", "1/(2*pi*sqrt(l*c))",
        (
            ReadyPart("l", "inductance", "H", "10 µH", "20 %"),
            ReadyPart("c", "capacitance", "F", "100 nF", "10 %"),
        ),
        "Hz", _CP,
    ),
    ReadyMade(
        "low-pass-frequency", "Second-order low-pass: natural frequency", "1/(2*pi*sqrt(r1*r2*c1*c2))",
        _SECTION, "Hz", _SALLEN_KEY,
    ),
    ReadyMade(
        "low-pass-q", "Second-order low-pass: quality", "sqrt(r1*r2*c1*c2)/(c2*(r1 + r2))",
        _SECTION, "", _SALLEN_KEY,
    ),
    ReadyMade(
        "butterworth-gain", "Butterworth low-pass: gain", "-10*log10(1 + (f/fc)**(2*n))",
        (
            ReadyPart("f", "frequency", "Hz", "2 kHz"),
            ReadyPart("fc", "corner frequency", "Hz", "1 kHz"),
            ReadyPart("n", "order", "", "2"),
        ),
        "dB", "Butterworth (1930), maximally flat response",
    ),
    ReadyMade(
        "cascade-buffered", "Two equal buffered RC sections: half-power frequency", "f0*sqrt(sqrt(2) - 1)",
        (_F0,), "Hz", "|H|⁻² = (1 + x²)² = 2, " + _CP,
    ),
    ReadyMade(
        "cascade-unbuffered", "Two equal RC sections in cascade: half-power frequency",
        "f0*sqrt((sqrt(53) - 7)/2)", (_F0,), "Hz", "|H|⁻² = (1 - x²)² + 9x² = 2, " + _CP,
    ),
    ReadyMade(
        "dbu-to-volt", "Level in dBu as voltage", "sqrt(0.001*600)*10**(level/20)",
        (ReadyPart("level", "level", "dBu", "4 dBu"),), "V", _DBU,
    ),
    ReadyMade(
        "dbv-to-volt", "Level in dBV as voltage", "10**(level/20)",
        (ReadyPart("level", "level", "dBV", "-10 dBV"),), "V", "0 dBV = 1 V rms, " + _CP,
    ),
    ReadyMade("volt-to-dbu", "Voltage as level in dBu", "20*log10(v/sqrt(0.001*600))", (_RMS,), "dBu", _DBU),
    ReadyMade(
        "volt-to-dbv", "Voltage as level in dBV", "20*log10(v)", (_RMS,), "dBV", "0 dBV = 1 V rms, " + _CP
    ),
    ReadyMade(
        "dbm-to-volt", "Level in dBm as voltage", "sqrt(0.001*10**(level/10)*z)",
        (
            ReadyPart("level", "level", "dBm", "0 dBm"),
            ReadyPart("z", "impedance", "Ω", "50 Ω"),
        ),
        "V", "0 dBm = 1 mW, " + _CP,
    ),
    ReadyMade(
        "sine-dbv", "Sine, peak to peak, as level in dBV", "20*log10(vpp/(2*sqrt(2)))", (_PP,), "dBV", _CP
    ),
    ReadyMade(
        "sine-dbu", "Sine, peak to peak, as level in dBu", "20*log10(vpp/(2*sqrt(2))/sqrt(0.001*600))",
        (_PP,), "dBu", _DBU,
    ),
    ReadyMade(
        "ratio-db", "Ratio of two voltages in dB", "20*log10(va/vb)",
        (
            ReadyPart("va", "voltage", "V", "2 V"),
            ReadyPart("vb", "compared with", "V", "1 V"),
        ),
        "dB", _CP,
    ),
    ReadyMade(
        "thermal-noise", "Thermal noise of a resistor", "sqrt(4*1.380649e-23*t*r*b)",
        (*_NOISE, ReadyPart("b", "bandwidth", "Hz", "20 kHz")), "V", _BOLTZMANN,
    ),
    ReadyMade(
        "thermal-noise-density", "Thermal noise density of a resistor", "sqrt(4*1.380649e-23*t*r)",
        _NOISE, "V/√Hz", _BOLTZMANN,
    ),
    ReadyMade(
        "thermal-noise-power", "Thermal noise power in 1 Hz, in dBm", "10*log10(1.380649e-23*t*1000)",
        (ReadyPart("t", "temperature, in kelvin", "K", "290 K"),), "dBm", "kTB; " + _BOLTZMANN,
    ),
    *(
        ReadyMade(
            f"ripple-{wave}", f"Ripple, peak to peak to rms: {wave}", f"vpp/{divisor}", (_PP,), "V", _CP
        )
        for wave, divisor in (("sine", "(2*sqrt(2))"), ("triangle", "(2*sqrt(3))"), ("square", "2"))
    ),
    ReadyMade(
        "true-rise-time", "Rise time without the instrument's own", "sqrt(shown**2 - own**2)",
        (
            ReadyPart("shown", "rise time shown", "s", "3.5 ns"),
            ReadyPart("own", "rise time of the instrument", "s", "1 ns"),
        ),
        "s", "rise times add as squares, " + _CP,
    ),
    ReadyMade(
        "platinum-resistance", "Resistance of a platinum sensor",
        "r0*(1 + 3.9083e-3*t - 5.775e-7*t**2 - 4.183e-12*(t - 100)*min(t, 0)**3)",
        (
            ReadyPart("r0", "resistance at 0 °C", "Ω", "100 Ω"),
            ReadyPart("t", "temperature", "°C", "100 °C"),
        ),
        "Ω", _PT100,
    ),
)  # fmt: skip
