"""Weighted least squares on linear observation equations, by orthogonal factors.

Kept apart from stairs so it can be tried on published examples of any kind.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array: TypeAlias = NDArray[np.float64]

# Singular values of the whitened, column-scaled matrix. A stair read with spreads a thousandfold
# apart still stands above 1e-6; an unknown nothing reads falls to rounding, about 1e-16.
RANK_TOLERANCE = 1e-9

# A redundancy number under this is rounding, not a check: with spreads within a thousand of each
# other a real one is above it.
NO_REDUNDANCY = 1e-7


class RankDefectError(Exception):
    """The observations leave some combination of the unknowns free.

    Attributes:
        null: the free directions, one a column, shape (unknowns, defect); orthonormal.
    """

    def __init__(self, null: Array) -> None:
        super().__init__(f"rank defect {null.shape[1]}")
        self.null = null


@dataclass(frozen=True)
class WlsSolution:
    """One weighted least squares solution. A-priori variance factor 1 throughout.

    Attributes:
        x: unknowns, shape (u,), in the unknowns' units.
        covariance: their covariance, (AᵀPA)⁻¹, shape (u, u).
        residuals: v = A·x − l, adjusted less observed, shape (n,), in the observations' units.
        redundancy: redundancy numbers rᵢ = (Q_vv P)ᵢᵢ, shape (n,), each in 0..1, summing to n − u.
        cofactor: Q_vv of the whitened residuals, I − Q·Qᵀ, shape (n, n), no unit.
        sigmas: the observations' standard deviations as given, shape (n,).
    """

    x: Array
    covariance: Array
    residuals: Array
    redundancy: Array
    cofactor: Array
    sigmas: Array

    @property
    def sum_of_squares(self) -> float:
        """The weighted sum of squared residuals vᵀPv."""
        whitened = self.residuals / self.sigmas
        return float(whitened @ whitened)

    @property
    def standardised(self) -> Array:
        """w = v/σ_v for each observation; NaN where the redundancy number is nil."""
        w = np.full(len(self.sigmas), np.nan)
        seen = self.redundancy > NO_REDUNDANCY
        w[seen] = self.residuals[seen] / (self.sigmas[seen] * np.sqrt(self.redundancy[seen]))
        return w


def free_directions(whitened: Array) -> Array:
    """The directions of the unknowns that a whitened design matrix leaves free.

    Args:
        whitened: design matrix with each row divided by its σ, shape (n, u).

    Returns:
        Orthonormal columns, shape (u, defect); (u, 0) when every unknown is fixed. Rows and columns
        are scaled first, so millimetres and radians mix without upsetting the test.
    """
    unknowns = whitened.shape[1]
    norms = np.linalg.norm(whitened, axis=0)
    scale = np.where(norms > 0.0, norms, 1.0)
    _, singular, vt = np.linalg.svd(whitened / scale, full_matrices=True)
    largest = singular[0] if len(singular) else 1.0
    rank = int(np.sum(singular > RANK_TOLERANCE * max(largest, 1e-300)))
    if rank == unknowns:
        return np.zeros((unknowns, 0))
    directions = vt[rank:].T / scale[:, None]
    return np.asarray(np.linalg.qr(directions)[0])


def solve_wls(A: ArrayLike, l: ArrayLike, sigmas: ArrayLike) -> WlsSolution:  # noqa: E741
    """Solve A·x = l + v for the least vᵀPv, with P = diag(1/σ²).

    Args:
        A: design matrix, shape (n, u).
        l: observations, shape (n,).
        sigmas: their standard deviations, shape (n,), above zero, in the observations' units.

    Raises:
        RankDefectError: some unknown is not fixed by the observations.
        ValueError: shapes that don't agree, or a σ not above zero.

    Source: parametric adjustment, e.g. Ghilani, *Adjustment Computations*, ch. 11-12 and 21
    (redundancy numbers); Baarda 1968, *A testing procedure for use in geodetic networks*.
    """
    design = np.asarray(A, dtype=np.float64)
    observed = np.asarray(l, dtype=np.float64)
    spread = np.asarray(sigmas, dtype=np.float64)
    if design.ndim != 2 or observed.shape != (design.shape[0],) or spread.shape != observed.shape:
        raise ValueError(f"shapes {design.shape}, {observed.shape}, {spread.shape} do not agree")
    if not np.all(spread > 0.0):
        raise ValueError("every sigma must be above zero")
    whitened = design / spread[:, None]
    null = free_directions(whitened)
    if null.shape[1]:
        raise RankDefectError(null)
    q, r = np.linalg.qr(whitened)
    inverse = np.linalg.inv(r)
    x = inverse @ (q.T @ (observed / spread))
    cofactor = np.eye(len(observed)) - q @ q.T
    redundancy = np.clip(np.diag(cofactor), 0.0, 1.0)
    return WlsSolution(
        x=x,
        covariance=inverse @ inverse.T,
        residuals=design @ x - observed,
        redundancy=redundancy,
        cofactor=cofactor,
        sigmas=spread,
    )
