"""Adding up chances: how many units a number of services may use between them.

A pmf is an array whose entry k is the chance of exactly k steps. Sums of independent demands are
products of their generating functions, so everything here is a product of values on a circle and
one transform back (Grübel & Hermesmeier 1999, "Computation of compound distributions I", ASTIN
Bulletin 29). The circle has a radius just under 1: what would wrap round from beyond the end of
the array is damped by `WRAP`, while rounding grows by no more than 1 / WRAP.
"""

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Complexes = npt.NDArray[np.complex128]
Ints = npt.NDArray[np.int64]

WRAP = 1e-6  # error of a chance: about 1e-6 of what lies beyond the array, and 1e-10 of rounding
TINY = 1e-150  # stands in for an exact zero on the circle, so that it can be divided out again


def radius(size: int) -> float:
    """Radius of the circle for arrays of `size` entries."""
    return float(WRAP ** (1.0 / size))


def circle_size(entries: float) -> int:
    """Smallest power of two, at least 64, that holds `entries` entries."""
    return max(64, 1 << int(np.ceil(np.log2(max(entries, 1.0)))))


def to_circle(pmf: Floats, size: int) -> Complexes:
    """Generating function of each row: (..., width) -> (..., size // 2 + 1) complex.

    Entries from `size` on cannot reach the first `size` chances of any sum and are left out.
    """
    width = min(pmf.shape[-1], size)
    return np.fft.rfft(pmf[..., :width] * radius(size) ** np.arange(width), size)


def from_circle(values: Complexes, size: int) -> Floats:
    """The first `size` coefficients: the inverse of `to_circle`."""
    found: Floats = np.fft.irfft(values, size) / radius(size) ** np.arange(size)
    return found


def nonzero(values: Complexes) -> Complexes:
    """The same values with exact zeros replaced by `TINY`."""
    return np.where(np.abs(values) < TINY, TINY, values)


def gamma_poisson_log(k: Floats | float, excess: Complexes) -> Complexes:
    """log of (1 - k excess) ** (-1 / k), the factor of events whose Poisson rate is gamma.

    `excess` is events (batch(z) - 1) and k one over the gamma's shape. The logarithm is taken in
    real parts, because numpy's complex log1p loses all digits for small k.
    """
    step = -k * excess
    real, imag = step.real, step.imag
    log = 0.5 * np.log1p(real * (2 + real) + imag**2) + 1j * np.arctan2(imag, 1 + real)
    return np.asarray(-log / k, dtype=np.complex128)


def moments(pmf: Floats) -> tuple[Floats, Floats]:
    """Mean and mean square of each row of (..., width)."""
    sizes = np.arange(pmf.shape[-1])
    return pmf @ sizes, pmf @ (sizes**2)


def compound_poisson_pmf(events: float, batch: Floats, size: int) -> Floats:
    """First `size` chances of the total of a Poisson number of batches.

    `events` is the mean number of batches, `batch` the pmf of one batch, in steps.
    Generating function exp(events (batch(z) - 1)).
    """
    mean, square = moments(batch)
    wide = _size_for(size, events * mean, events * square)
    return from_circle(np.exp(events * (to_circle(batch, wide) - 1)), wide)[:size]


def compound_negative_binomial_pmf(events: float, shape: float, batch: Floats, size: int) -> Floats:
    """First `size` chances of the total of batches whose Poisson rate is itself gamma.

    `events` is the mean number of batches and `shape` that gamma's shape. Generating function
    (1 - (events / shape)(batch(z) - 1)) ** -shape (gamma-Poisson = negative binomial; Greenwood
    & Yule 1920).
    """
    mean, square = moments(batch)
    wide = _size_for(size, events * mean, events * square + (events * mean) ** 2 / shape)
    excess = events * (to_circle(batch, wide) - 1)
    return from_circle(np.exp(gamma_poisson_log(1 / shape, excess)), wide)[:size]


def thinned_pmf(booked: int, show: float, use: Floats, size: int) -> Floats:
    """First `size` chances of what `booked` visits use when each comes with chance `show`.

    Binomial thinning: (1 - show + show use(z)) ** booked.
    """
    mean, square = moments(use)
    wide = _size_for(size, booked * show * mean, booked * show * square)
    return from_circle((1 - show + show * to_circle(use, wide)) ** booked, wide)[:size]


def convolved_power(pmf: Floats, times: int, size: int) -> Floats:
    """First `size` chances of the sum of `times` independent draws of one pmf."""
    return thinned_pmf(times, 1.0, pmf, size)


def convolved(first: Floats, second: Floats) -> Floats:
    """The sum of two independent small demands, exactly."""
    return np.convolve(first, second)


def mixed(pmfs: Floats, weights: Floats) -> Floats:
    """A mixture, e.g. over the days a delivery may take: (cases, n), (cases,) -> (n,)."""
    return weights @ pmfs


def _size_for(size: int, mean: Floats, variance: Floats) -> int:
    return circle_size(max(2.0 * size, float(mean + 6 * np.sqrt(variance))))
