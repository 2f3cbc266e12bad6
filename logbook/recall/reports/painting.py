"""Colours for the drawings of a page that is printed.

The library that lays out a page does not apply the page's style sheets inside a drawing, so each one gets a
sheet of its own. The colours are those of ``tokens.css`` by day.
"""

from __future__ import annotations

import re

OPENING = re.compile(r"<svg\b[^>]*>")
PAINT = """
svg.pass { color: #17694d } svg.cond { color: #8a5600 } svg.fail { color: #a3231c }
svg.none { color: #5a5876 }
.axis { stroke: #8a877c; stroke-width: 1 }
.zone { fill: #d9ecdf } .guard { fill: #f3e3c0 }
.limit { stroke: #1b1f27; stroke-width: 1.5 }
.sister { stroke: #565c68; stroke-width: 1.5 }
.reach { stroke: currentColor; stroke-width: 7; opacity: 0.3 }
.needle { stroke: currentColor; stroke-width: 3; stroke-linecap: round }
.arrow { fill: currentColor }
.tick { stroke-width: 2; fill: none }
.tick.pass { stroke: #17694d } .tick.cond { stroke: #8a5600 } .tick.fail { stroke: #a3231c; stroke-width: 3 }
.tick.none { stroke: #5a5876 }
.next { fill: #2b4a9b; opacity: 0.28 } .mean { stroke: #1b1f27; stroke-width: 2.5 }
.dot.pass { fill: #17694d } .dot.cond { fill: #8a5600 } .dot.fail { fill: #a3231c }
.dot.none { fill: #5a5876 }
.whisker { stroke: #1b1f27; stroke-width: 1.5 }
text { font: 11px "DejaVu Sans Mono", monospace; fill: #565c68 }
text.name { font: 12px "DejaVu Sans", sans-serif; fill: #1b1f27 }
"""


def painted(html: str) -> str:
    """Return a page whose drawings carry their colours."""
    return OPENING.sub(lambda found: f"{found[0]}<style>{PAINT}</style>", html)
