"""Small Gerber and drill files written by hand after the published specification.

The Gerber Layer Format Specification (Ucamco), revision 2024.05; the clause stands beside what uses it. The
drill files follow the XNC format specification (Ucamco), revision 2021.07. Both from memory.
"""

from __future__ import annotations

from logbook.evidence.gerber.bundle import packed

# Format and unit (4.1, 4.2): 4 integer and 6 decimal digits, millimetres.
HEAD = "%FSLAX46Y46*%\n%MOMM*%\n"
END = "M02*\n"


def at(mm: float) -> str:
    """Return a coordinate in millionths of a millimetre."""
    return str(round(mm * 1_000_000))


def gerber(body: str, function: str = "") -> str:
    """Return a file; ``function`` is its .FileFunction attribute (5.6.3)."""
    said = f"%TF.FileFunction,{function}*%\n" if function else ""
    return f"{said}{HEAD}{body}{END}"


def rectangle(x: float, y: float, width: float, height: float) -> str:
    """Return a region (4.10) around a rectangle."""
    corners = [(x, y), (x + width, y), (x + width, y + height), (x, y + height), (x, y)]
    begun = f"G36*\nX{at(x)}Y{at(y)}D02*\nG01*\n"
    return begun + "".join(f"X{at(px)}Y{at(py)}D01*\n" for px, py in corners[1:]) + "G37*\n"


def outline(width: float, height: float, left: float = 0, low: float = 0) -> str:
    """Return the lines around a board, drawn with a circle of 0.1 mm (4.4.2)."""
    corners = [(0, 0), (width, 0), (width, height), (0, height), (0, 0)]
    lines = [f"X{at(left + x)}Y{at(low + y)}D0{1 if n else 2}*\n" for n, (x, y) in enumerate(corners)]
    return "%ADD10C,0.1*%\nD10*\nG01*\n" + "".join(lines)


def flash(aperture: str, *places: tuple[float, float], number: int = 11) -> str:
    """Return flashes (4.8) of an aperture given as its template and sizes (4.4)."""
    flashes = "".join(f"X{at(x)}Y{at(y)}D03*\n" for x, y in places)
    return f"%ADD{number}{aperture}*%\nD{number}*\n{flashes}"


def track(width: float, *path: tuple[float, float], number: int = 12) -> str:
    """Return a line drawn with a circle."""
    moves = "".join(f"X{at(x)}Y{at(y)}D0{1 if n else 2}*\n" for n, (x, y) in enumerate(path))
    return f"%ADD{number}C,{width}*%\nD{number}*\nG01*\n{moves}"


def drill(diameter: float, *places: tuple[float, float]) -> str:
    """Return a drill file in millimetres with decimal points."""
    hits = "".join(f"X{x:.3f}Y{y:.3f}\n" for x, y in places)
    return f"M48\nMETRIC\nT01C{diameter:.3f}\n%\nG05\nT01\n{hits}M30\n"


def board(copper: str, *, width: float = 20, height: float = 10, **more: str) -> bytes:
    """Return the bundle of a board: outline, top and bottom copper, and what else is given."""
    texts = {
        "edge.gbr": gerber(outline(width, height), "Profile,NP"),
        "top.gbr": gerber(copper, "Copper,L1,Top"),
        "bottom.gbr": gerber(flash("C,2", (3, 3)), "Copper,L2,Bot"),
        **{name.replace("_", "."): text for name, text in more.items()},
    }
    return packed((name, text.encode()) for name, text in texts.items())
