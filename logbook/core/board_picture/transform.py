"""Maps of the plane that keep straight lines straight and parallels parallel."""

from __future__ import annotations

from dataclasses import dataclass

from logbook.core.errors import PictureError

SMALLEST_DETERMINANT = 1e-12


@dataclass(frozen=True)
class Transform:
    """An affine map: ``x' = a x + b y + c`` and ``y' = d x + e y + f``.

    Parameters
    ----------
    a, b, d, e : float
        The linear part, shape (), in units of the goal per unit of the source.
    c, f : float
        Where the origin of the source comes to lie, in units of the goal.
    """

    a: float
    b: float
    c: float
    d: float
    e: float
    f: float

    def at(self, x: float, y: float) -> tuple[float, float]:
        """Return where a point comes to lie."""
        return self.a * x + self.b * y + self.c, self.d * x + self.e * y + self.f

    def inverse(self) -> Transform:
        """Return the map that leads back.

        Raises
        ------
        PictureError
            The map squeezes the plane onto a line.
        """
        determinant = self.a * self.e - self.b * self.d
        if abs(determinant) < SMALLEST_DETERMINANT:
            message = "the map squeezes the picture onto a line and has no way back"
            raise PictureError(message)
        a, b = self.e / determinant, -self.b / determinant
        d, e = -self.d / determinant, self.a / determinant
        return Transform(a, b, -(a * self.c + b * self.f), d, e, -(d * self.c + e * self.f))

    def then(self, after: Transform) -> Transform:
        """Return this map followed by another."""
        c, f = after.at(self.c, self.f)
        return Transform(
            after.a * self.a + after.b * self.d,
            after.a * self.b + after.b * self.e,
            c,
            after.d * self.a + after.e * self.d,
            after.d * self.b + after.e * self.e,
            f,
        )

    @property
    def area_factor(self) -> float:
        """Return by how much areas grow."""
        return abs(self.a * self.e - self.b * self.d)
