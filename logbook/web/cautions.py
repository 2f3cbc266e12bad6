"""The cautions that stand where the risk is. A target names them by letter."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Caution:
    """One reminder: when it applies, and what to mind."""

    key: str
    title: str
    text: str


FIRST_POWER = Caution(
    "P",
    "First power",
    "Use a current-limited supply set just above the expected draw. If it limits, stop and find the fault; "
    "do not turn it up. Eyes protected, hands off, switch within reach.",
)

# The values of dangerous voltage are those of IEC 61010-1.
CAUTIONS = {
    caution.key: caution
    for caution in (
        FIRST_POWER,
        Caution(
            "E",
            "Mains, above 60 V DC or 30 V AC rms, or high energy",
            "Dangerous voltage or energy can be present. Switch off, disconnect, check it is dead, then "
            "touch. Do not work alone on it. Rings and metal straps off.",
        ),
        Caution(
            "G",
            "Scope, generator or USB on anything not isolated",
            "The probe's ground clip is joined to mains earth. Clip it only to a point you have measured to "
            "be at earth potential. Never defeat the earth of an instrument; isolate the board or use a "
            "differential probe. An isolation transformer removes the earth reference; it does not make the "
            "secondary safe to touch.",
        ),
        Caution(
            "B",
            "Lithium or lead cells",
            "A cell cannot be switched off. Fuse at the cell, cover bare ends, connect last and remove "
            "first. Never charge unattended or outside its limits. Swollen, dented, wet or hot: stop, "
            "isolate, follow local fire and disposal rules. Shipping has its own rules (UN 38.3).",
        ),
        Caution(
            "C",
            "Bulk or boost capacitors",
            "Charge stays after power-off. Discharge through a resistor, then measure before ohms or "
            "fingers.",
        ),
        Caution(
            "H",
            "Heat",
            "Parts can burn before they look hot. Measure first, keep paper and wipes away, do not leave "
            "running alone.",
        ),
        Caution(
            "F",
            "Solder, flux, solvents",
            "Extract the fumes, wash hands, assume old boards contain lead. Unplug the board, including USB "
            "and cells, before the iron. Mind flammable solvent.",
        ),
        Caution(
            "S",
            "Static",
            "Wrist strap and mat for handling (IEC 61340-5-1), but never strapped while working on dangerous "
            "voltage. ESD guns: keep people with implanted medical devices away.",
        ),
        Caution(
            "L",
            "Laser, bright or infrared light",
            "You may not see it. Never look into an emitter or its reflection; know its class (IEC 60825-1, "
            "IEC 62471); cover it before power.",
        ),
        Caution(
            "A",
            "Sound",
            "Start at minimum level with nothing on your ears. Switch-on bangs can hurt hearing and drivers.",
        ),
        Caution(
            "W",
            "Water and pressure",
            "Test empty housings first; a flooded housing can hold pressure: vent it facing away. No mains "
            "equipment near the tank without the protection local rules ask for.",
        ),
        Caution(
            "M",
            "Motion",
            "A firmware fault can move machinery. Disconnect the load or block it mechanically; a software "
            "stop is not an emergency stop.",
        ),
    )
}


def cautions_for(letters: str) -> tuple[Caution, ...]:
    """Return the cautions of a target's letters, in the order written; other signs are passed over."""
    return tuple(CAUTIONS[letter] for letter in dict.fromkeys(letters) if letter in CAUTIONS)
