"""Combining standard uncertainties: quadrature, sensitivities, correlation."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from logbook.core.errors import UncertaintyError


def propagate(sensitivities: ArrayLike, covariance: ArrayLike) -> NDArray[np.float64]:
    """Carry the covariance of the inputs over to the results.

    Parameters
    ----------
    sensitivities : array_like, shape (m, n) or (n,)
        Partial derivatives of m results (or of one) with respect to n inputs.
    covariance : array_like, shape (n, n)
        Covariance of the inputs: variances on the diagonal.

    Returns
    -------
    ndarray, shape (m, m)
        Covariance of the results; (1, 1) for a single result.

    Raises
    ------
    UncertaintyError
        If the shapes do not fit or a number is not finite.

    Notes
    -----
    First order only; poor where the model bends within the uncertainty of an input.

    References
    ----------
    JCGM 100:2008, 5.2.2, equation (13); several results: H.2.3.

    Examples
    --------
    >>> propagate([1.0, -1.0], [[4.0, 1.0], [1.0, 4.0]]).tolist()
    [[6.0]]
    """
    jacobian = np.atleast_2d(np.asarray(sensitivities, dtype=np.float64))
    inputs = np.asarray(covariance, dtype=np.float64)
    n = jacobian.shape[1]
    if inputs.shape != (n, n):
        raise UncertaintyError(
            f"{n} sensitivities do not fit a covariance of shape {inputs.shape}.",
            given=str(inputs.shape),
            allowed=f"({n}, {n})",
            where="covariance",
        )
    if not (np.isfinite(jacobian).all() and np.isfinite(inputs).all()):
        raise UncertaintyError(
            "A number is not finite.", allowed="finite numbers", where="sensitivities, covariance"
        )
    return jacobian @ inputs @ jacobian.T


def correlation_matrix(covariance: ArrayLike) -> NDArray[np.float64]:
    """Return the correlation coefficients that belong to a covariance matrix.

    Parameters
    ----------
    covariance : array_like, shape (n, n)
        Covariance with variances above zero on the diagonal.

    Returns
    -------
    ndarray, shape (n, n)
        Correlation coefficients, dimensionless, -1 to 1.

    Raises
    ------
    UncertaintyError
        If a variance is not above zero.

    References
    ----------
    JCGM 100:2008, 5.2.2, equation (14).

    Examples
    --------
    >>> correlation_matrix([[4.0, 1.0], [1.0, 1.0]]).tolist()
    [[1.0, 0.5], [0.5, 1.0]]
    """
    matrix = np.asarray(covariance, dtype=np.float64)
    variances = np.diag(matrix)
    if not (variances > 0).all():
        raise UncertaintyError("A variance is not above 0.", allowed="above 0", where="covariance")
    deviations = np.sqrt(variances)
    correlations: NDArray[np.float64] = matrix / np.outer(deviations, deviations)
    return correlations


def combine(
    contributions: Sequence[float],
    sensitivities: Sequence[float] | None = None,
    correlations: ArrayLike | None = None,
) -> float:
    """Combine the standard uncertainties of n inputs into that of one result.

    Parameters
    ----------
    contributions : sequence of float, length n
        Standard uncertainties, each in the unit of its input, 0 or more.
    sensitivities : sequence of float, length n, optional
        Partial derivatives of the result; 1 each when left out.
    correlations : array_like, shape (n, n), optional
        Correlation coefficients of the inputs, 1 on the diagonal; independent when left out.

    Returns
    -------
    float
        Combined standard uncertainty in the unit of the result.

    Raises
    ------
    UncertaintyError
        If an uncertainty is negative, a number is not finite, the lengths differ, or the correlations are
        no correlation matrix.

    References
    ----------
    JCGM 100:2008, 5.1.2, equation (10), and 5.2.2, equation (16).

    Examples
    --------
    >>> combine([3.0, 4.0])
    5.0
    >>> combine([3.0, 4.0], correlations=[[1.0, 1.0], [1.0, 1.0]])
    7.0
    """
    u = checked_uncertainties(contributions)
    c = np.ones_like(u) if sensitivities is None else np.asarray(sensitivities, dtype=np.float64)
    if c.shape != u.shape:
        raise UncertaintyError(
            f"{u.size} contributions have {c.size} sensitivities.",
            given=str(c.size),
            allowed=str(u.size),
            where="sensitivities",
        )
    if correlations is None:
        if not np.isfinite(c).all():
            raise UncertaintyError(
                "A sensitivity is not finite.", allowed="finite numbers", where="sensitivities"
            )
        return math.hypot(*(c * u))
    r = _checked_correlations(correlations, u.size)
    # Rounding may leave a hair below zero where correlated parts cancel completely.
    return math.sqrt(max(0.0, float(propagate(c * u, r)[0, 0])))


def checked_uncertainties(values: Sequence[float]) -> NDArray[np.float64]:
    """Return standard uncertainties as an array, or refuse them.

    Parameters
    ----------
    values : sequence of float, length n
        Standard uncertainties, any unit.

    Returns
    -------
    ndarray, shape (n,)
        The same numbers.

    Raises
    ------
    UncertaintyError
        If one is negative or not finite.
    """
    u = np.asarray(values, dtype=np.float64)
    if u.ndim != 1 or not np.isfinite(u).all() or (u < 0).any():
        raise UncertaintyError(
            "A standard uncertainty is negative or not finite.",
            given=", ".join(map(str, values))[:40],
            allowed="finite numbers, 0 or more",
            where="contributions",
        )
    return u


def _checked_correlations(correlations: ArrayLike, n: int) -> NDArray[np.float64]:
    r = np.asarray(correlations, dtype=np.float64)
    fits = r.shape == (n, n)
    if (
        not fits
        or not np.allclose(r, r.T)
        or not np.allclose(np.diag(r), 1.0)
        or not (np.abs(r) <= 1.0).all()
    ):
        raise UncertaintyError(
            "The correlations are no correlation matrix.",
            given=str(r.tolist()),
            allowed=f"{n} x {n}, symmetric, 1 on the diagonal, -1 to 1",
            where="correlations",
        )
    return r
