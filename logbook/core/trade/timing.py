"""Ready-made calculations of crystals, clocks and buses."""

from logbook.core.trade.ready_made import ReadyMade, ReadyPart

_CP = "common practice"
_CRYSTAL = "series-resonance offset formula, common practice (IEC 60122 and 60444 terms, from memory)"
_I2C = "I2C-bus specification UM10204, 7.1 (prints 0.8473)"
_MOTIONAL = (
    ReadyPart("cm", "motional capacitance", "F", "10 fF"),
    ReadyPart("c0", "shunt capacitance", "F", "3 pF"),
)
_BUS = ReadyPart("cb", "bus capacitance", "F", "100 pF")

TIMING = (
    ReadyMade(
        "crystal-load", "Crystal load capacitance", "par(c1, c2) + cs",
        (
            ReadyPart("c1", "first load capacitor", "F", "18 pF", "5 %"),
            ReadyPart("c2", "second load capacitor", "F", "18 pF", "5 %"),
            ReadyPart("cs", "stray capacitance", "F", "3 pF", "1 pF"),
        ),
        "pF", "crystal makers' application notes, " + _CP,
    ),
    ReadyMade(
        "crystal-offset", "Crystal: frequency above series resonance", "cm/(2*(c0 + cl))",
        (*_MOTIONAL, ReadyPart("cl", "load capacitance", "F", "12 pF")), "ppm", _CRYSTAL,
    ),
    ReadyMade(
        "crystal-slope", "Crystal: change in ppm for one pF of load", "-cm/(2*(c0 + cl)**2)*1e-12",
        (*_MOTIONAL, ReadyPart("cl", "load capacitance", "F", "12 pF")), "ppm", _CRYSTAL,
    ),
    ReadyMade(
        "crystal-error", "Crystal: error by a wrong load capacitance",
        "cm/2*(1/(c0 + actual) - 1/(c0 + wanted))",
        (
            *_MOTIONAL,
            ReadyPart("actual", "load capacitance on the board", "F", "10 pF"),
            ReadyPart("wanted", "load capacitance the crystal is made for", "F", "12 pF"),
        ),
        "ppm", _CRYSTAL,
    ),
    ReadyMade(
        "frequency-error", "Frequency error", "(measured - wanted)/wanted",
        (
            ReadyPart("measured", "measured frequency", "Hz", "12.288245 MHz"),
            ReadyPart("wanted", "wanted frequency", "Hz", "12.288 MHz"),
        ),
        "ppm", _CP,
    ),
    ReadyMade(
        "frequency-tolerance", "Frequency tolerance in hertz", "f*tolerance",
        (
            ReadyPart("f", "frequency", "Hz", "25 MHz"),
            ReadyPart("tolerance", "relative tolerance", "", "50 ppm"),
        ),
        "Hz", _CP,
    ),
    ReadyMade(
        "clock-drift", "Drift of a clock in seconds a day", "error*86400",
        (ReadyPart("error", "relative frequency error", "", "20 ppm"),), "s/day", "86,400 s a day, " + _CP,
    ),
    ReadyMade(
        "clock-ratio", "Ratio of two clocks", "fa/fb",
        (
            ReadyPart("fa", "wanted clock", "Hz", "12.288 MHz"),
            ReadyPart("fb", "clock at hand", "Hz", "12 MHz"),
        ),
        "", _CP,
    ),
    ReadyMade(
        "ratio-error", "Error of a clock made by a ratio of whole numbers", "multiplier*fb/(divider*fa) - 1",
        (
            ReadyPart("multiplier", "multiplied by", "", "43"),
            ReadyPart("divider", "divided by", "", "42"),
            ReadyPart("fb", "clock at hand", "Hz", "12 MHz"),
            ReadyPart("fa", "wanted clock", "Hz", "12.288 MHz"),
        ),
        "ppm", _CP,
    ),
    ReadyMade(
        "refresh-interval", "Refresh interval of a dynamic memory", "period/rows",
        (
            ReadyPart("period", "time for all rows", "s", "64 ms"),
            ReadyPart("rows", "rows", "", "8192"),
        ),
        "µs", "SDRAM data sheets (JESD21-C and JESD79 series): 64 ms",
    ),
    ReadyMade(
        "uart-mismatch", "Serial link: clock mismatch that shifts the last sample", "shift/bits",
        (
            ReadyPart("shift", "shift allowed, in bits", "", "0.5"),
            ReadyPart("bits", "bits up to the last sample", "", "9.5"),
        ),
        "%", _CP,
    ),
    ReadyMade(
        "bus-rise-time", "Pull-up against bus capacitance: rise time", "rp*cb*ln(7/3)",
        (ReadyPart("rp", "pull-up resistor", "Ω", "2.2 kΩ", "5 %"), _BUS), "ns",
        "30 % to 70 % of an exponential; " + _I2C,
    ),
    ReadyMade(
        "pull-up-largest", "Largest pull-up for a rise time", "tr/(ln(7/3)*cb)",
        (ReadyPart("tr", "rise time limit", "s", "300 ns"), _BUS), "Ω", _I2C + ", equation (1)",
    ),
    ReadyMade(
        "pull-up-smallest", "Smallest pull-up for a sink current", "(vdd - vol)/iol",
        (
            ReadyPart("vdd", "supply voltage", "V", "3.3 V"),
            ReadyPart("vol", "low level", "V", "0.4 V"),
            ReadyPart("iol", "sink current", "A", "3 mA"),
        ),
        "Ω", _I2C + ", equation (2)",
    ),
    ReadyMade(
        "noise-margin", "Noise margin of a logic level", "out - threshold",
        (
            ReadyPart("out", "output high level, or input low level", "V", "2.4 V"),
            ReadyPart("threshold", "input high level, or output low level", "V", "2 V"),
        ),
        "V", "JEDEC JESD8C.01 levels, " + _CP,
    ),
)  # fmt: skip
