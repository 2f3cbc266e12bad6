"""Ready-made calculations of supplies, heat, stored energy and copper."""

from logbook.core.trade.ready_made import Caution, ReadyMade, ReadyPart

_CP = "common practice"
_FEEDBACK = "feedback-divider law Vout = Vfb(1 + Rtop/Rbot), common practice"
_DIVIDER = (
    ReadyPart("rtop", "upper resistor", "Ω", "45.3 kΩ", "1 %"),
    ReadyPart("rbot", "lower resistor", "Ω", "10 kΩ", "1 %"),
)
_HOT = (
    Caution(60, "Above 60 °C parts burn skin before they look hot: measure first, do not touch."),
    Caution(
        100, "Above 100 °C, which is 80 % of a 125 °C rating (common practice): check the part's rating."
    ),
)
_ENERGY = (
    Caution(0.1, "Discharge through a resistor and measure before touching; a short here burns contacts."),
    Caution(20, "20 J or more counts as a hazardous energy level (IEC 60950-1, from memory)."),
    Caution(60, "Above 60 V DC the voltage is dangerous to touch (IEC 61010-1 value).", part="v"),
)
_REGULATOR = (
    ReadyPart("vin", "input voltage", "V", "5 V"),
    ReadyPart("vout", "output voltage", "V", "3.3 V"),
    ReadyPart("iout", "load current", "A", "0.3 A"),
)
_IPC = "IPC-2221, chart fit I = k dT^0.44 A^0.725 with A in square mil"
_COPPER = "IEC 60028: 1/58 Ω mm²/m and 0.00393 per K at 20 °C"
_TRACE = (
    ReadyPart("rise", "temperature rise", "K", "10 K"),
    ReadyPart("width", "trace width", "m", "10 mil"),
    ReadyPart("thickness", "copper thickness", "m", "1.378 mil"),
)
_WIDTH = (
    ReadyPart("current", "current", "A", "1 A"),
    ReadyPart("rise", "temperature rise", "K", "10 K"),
)

POWER = (
    ReadyMade(
        "adjustable-linear-regulator", "Adjustable linear regulator", "vref*(1 + r2/r1) + iadj*r2",
        (
            ReadyPart("vref", "reference voltage", "V", "1.25 V", "4 %"),
            ReadyPart("r1", "resistor from output to adjust pin", "Ω", "240 Ω", "1 %"),
            ReadyPart("r2", "resistor from adjust pin to ground", "Ω", "720 Ω", "1 %"),
            ReadyPart("iadj", "current out of the adjust pin", "A", "50 µA", "50 µA"),
        ),
        "V", "adjustable three-terminal regulator law, manufacturers' data sheets, common practice",
    ),
    ReadyMade(
        "feedback-divider", "Feedback divider of a switching regulator", "vfb*(1 + rtop/rbot)",
        (ReadyPart("vfb", "feedback voltage", "V", "0.6 V", "1 %"), *_DIVIDER), "V", _FEEDBACK,
    ),
    ReadyMade(
        "feedback-divider-bias", "Feedback divider with bias current", "vfb*(1 + rtop/rbot) + ifb*rtop",
        (
            ReadyPart("vfb", "feedback voltage", "V", "1 V", "1 %"), *_DIVIDER,
            ReadyPart("ifb", "current into the feedback pin", "A", "0 A", "50 nA"),
        ),
        "V", _FEEDBACK,
    ),
    ReadyMade(
        "feedback-linear-rule", "Feedback divider, first-order rule", "tref + (1 - vfb/vout)*(ttop + tbot)",
        (
            ReadyPart("tref", "tolerance of the reference", "", "1 %"),
            ReadyPart("ttop", "tolerance of the upper resistor", "", "1 %"),
            ReadyPart("tbot", "tolerance of the lower resistor", "", "1 %"),
            ReadyPart("vfb", "feedback voltage", "V", "0.6 V"),
            ReadyPart("vout", "output voltage", "V", "3.318 V"),
        ),
        "%", "first-order sensitivity of the divider, common practice",
    ),
    ReadyMade(
        "divider", "Voltage divider", "vin*r2/(r1 + r2)",
        (
            ReadyPart("vin", "input voltage", "V", "12 V"),
            ReadyPart("r1", "upper resistor", "Ω", "30 kΩ", "1 %"),
            ReadyPart("r2", "lower resistor", "Ω", "10 kΩ", "1 %"),
        ),
        "V", _CP,
    ),
    ReadyMade(
        "divider-loaded", "Divider read with a meter", "vin*par(r2, rm)/(r1 + par(r2, rm))",
        (
            ReadyPart("vin", "input voltage", "V", "5 V"),
            ReadyPart("r1", "upper resistor", "Ω", "1 MΩ"),
            ReadyPart("r2", "lower resistor", "Ω", "1 MΩ"),
            ReadyPart("rm", "input resistance of the meter", "Ω", "10 MΩ"),
        ),
        "V", _CP,
    ),
    ReadyMade(
        "divider-loading-error", "Error by the meter's loading",
        "par(r2, rm)/(r1 + par(r2, rm))/(r2/(r1 + r2)) - 1",
        (
            ReadyPart("r1", "upper resistor", "Ω", "1 MΩ"),
            ReadyPart("r2", "lower resistor", "Ω", "1 MΩ"),
            ReadyPart("rm", "input resistance of the meter", "Ω", "10 MΩ"),
        ),
        "%", _CP,
    ),
    ReadyMade(
        "current-shunt", "Current through a shunt", "vs/rs",
        (
            ReadyPart("vs", "voltage across the shunt", "V", "50 mV", "10 %"),
            ReadyPart("rs", "shunt resistance", "Ω", "10 mΩ", "1 %"),
        ),
        "A", "Ohm's law",
    ),
    ReadyMade(
        "led-resistor", "LED current by its resistor", "(vcc - vf)/r",
        (
            ReadyPart("vcc", "supply voltage", "V", "5 V", "5 %"),
            ReadyPart("vf", "forward voltage", "V", "2 V", "0.2 V"),
            ReadyPart("r", "series resistor", "Ω", "330 Ω", "5 %"),
        ),
        "mA", _CP,
    ),
    ReadyMade(
        "linear-regulator-power", "Heat in a linear regulator", "(vin - vout)*iout", _REGULATOR, "W", _CP
    ),
    ReadyMade(
        "junction-temperature", "Junction temperature of a linear regulator", "ta + (vin - vout)*iout*theta",
        (
            ReadyPart("ta", "ambient temperature", "°C", "40 °C"), *_REGULATOR,
            ReadyPart("theta", "thermal resistance, junction to ambient, in K/W", "", "90"),
        ),
        "°C", "Tj = Ta + P θJA (JESD51 series), common practice", _HOT,
    ),
    ReadyMade(
        "capacitor-energy", "Energy in a capacitor", "c*v**2/2",
        (
            ReadyPart("c", "capacitance", "F", "470 µF", "20 %"),
            ReadyPart("v", "voltage", "V", "35 V"),
        ),
        "J", "E = C V²/2, " + _CP, _ENERGY,
    ),
    ReadyMade(
        "discharge-time", "Time to discharge a capacitor", "r*c*ln(va/vb)",
        (
            ReadyPart("r", "discharge resistor", "Ω", "10 kΩ"),
            ReadyPart("c", "capacitance", "F", "470 µF"),
            ReadyPart("va", "voltage at the start", "V", "60 V"),
            ReadyPart("vb", "voltage at the end", "V", "10 V"),
        ),
        "s", "exponential discharge, " + _CP, (Caution(60, _ENERGY[2].text, part="va"),),
    ),
    ReadyMade(
        "reset-delay", "Time to charge to a threshold", "r*c*ln(v/(v - vth))",
        (
            ReadyPart("r", "charging resistor", "Ω", "100 kΩ", "5 %"),
            ReadyPart("c", "capacitance", "F", "100 nF", "10 %"),
            ReadyPart("v", "supply voltage", "V", "3.3 V"),
            ReadyPart("vth", "threshold", "V", "2 V"),
        ),
        "s", "exponential charge, " + _CP,
    ),
    ReadyMade(
        "reservoir-ripple", "Ripple on a reservoir capacitor, full wave", "i/(2*f*c)",
        (
            ReadyPart("i", "load current", "A", "0.5 A"),
            ReadyPart("f", "mains frequency", "Hz", "50 Hz"),
            ReadyPart("c", "capacitance", "F", "2200 µF"),
        ),
        "V", _CP,
    ),
    ReadyMade(
        "inductor-ripple", "Ripple current of a buck inductor", "vout*(1 - vout/vin)/(l*f)",
        (
            ReadyPart("vout", "output voltage", "V", "5 V"),
            ReadyPart("vin", "input voltage", "V", "12 V"),
            ReadyPart("l", "inductance", "H", "10 µH"),
            ReadyPart("f", "switching frequency", "Hz", "500 kHz"),
        ),
        "A", _CP,
    ),
    *(
        ReadyMade(
            f"trace-current-{layer}", f"Current of a trace, {layer} layer",
            f"{k}*rise**0.44*(width*thickness/2.54e-5**2)**0.725", _TRACE, "A", _IPC,
        )
        for layer, k in (("outer", 0.048), ("inner", 0.024))
    ),
    *(
        ReadyMade(
            f"trace-area-{layer}", f"Cross-section for a current, {layer} layer, in square mil",
            f"(current/({k}*rise**0.44))**(1/0.725)", _WIDTH, "", _IPC,
        )
        for layer, k in (("outer", 0.048), ("inner", 0.024))
    ),
    *(
        ReadyMade(
            f"trace-width-{layer}", f"Width of a trace for a current, {layer} layer",
            f"(current/({k}*rise**0.44))**(1/0.725)*2.54e-5**2/thickness",
            (*_WIDTH, ReadyPart("thickness", "copper thickness", "m", "1.378 mil")), "mil", _IPC,
        )
        for layer, k in (("outer", 0.048), ("inner", 0.024))
    ),
    ReadyMade(
        "trace-resistance", "Resistance of a copper trace",
        "1.7241e-8*length/(width*thickness)*(1 + 0.00393*(t - 20))",
        (
            ReadyPart("length", "length", "m", "100 mm"),
            ReadyPart("width", "width", "m", "0.25 mm"),
            ReadyPart("thickness", "copper thickness", "m", "35 µm"),
            ReadyPart("t", "temperature", "°C", "20 °C"),
        ),
        "Ω", _COPPER,
    ),
)  # fmt: skip
