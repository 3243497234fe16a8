"""Where the light of the lamps ends, by tracing rays: a table over dye absorption, lamp absorptance and shell."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pulsewright.errors import DomainError
from pulsewright.physics._domain import Number, as_float, not_negative, plain, positive, within
from pulsewright.physics.chamber.ray_dye_kernel import (
    BY_CUT,
    BY_MEDIA,
    CORNERS,
    FIRST_RUNG,
    MEDIA,
    OPENING,
    REFLECTIVITY,
    RUNGS,
)
from pulsewright.physics.chamber.ray_kernel import BODY, PLASMA, Ray, Scene, Tally, trace
from pulsewright.physics.lamp.light import CHORD_FACTOR

Float = NDArray[np.float64]

#: Groups of rays with their own scramble, from whose spread the standard error comes.
BATCHES = 32
#: Rays of a default table.
RAYS = 49_152
#: Wall hits and passes of the filter that are told apart; what meets more counts as these.
MOST_HITS, MOST_PASSES = 48, 8
#: Strides of evenly spread points in four dimensions: powers of 1/g, g the root of g^5 = g + 1 (Roberts 2018).
_ROOT = 1.1673039782614187
STRIDE = _ROOT ** -np.arange(1.0, 5.0)
#: Absorptance that stands for none, and optical depth that stands for an absorptance of 1.
_LEAST, _BLACK = 1e-6, 1e6


#: Absorption coefficients for which the rays count what a medium leaves. [1/m]
MEDIA_RUNGS = FIRST_RUNG * 4.0 ** np.arange(RUNGS)
#: Coefficients so small that ways count by their mean, and all nodes of the interpolation.
_STRAIGHT = (1 / 64, 1 / 16)
_NODES = np.log(np.array([*_STRAIGHT, *MEDIA_RUNGS]))
_FAINT = 1e-300


@dataclass(frozen=True, slots=True, eq=False)
class RayMap:
    """Where the light of the lamps ends, as shares of what they emit; (K, A) is absorption by lamp absorptance.

    `dye` (K, A, Z) by shell; `lamps`, `walls`, `openings`, `ends`, `media`, `cut` (K, A): `media` coolant and glasses,
    `cut` what was given up.
    `standard_error` (K, A) of the whole dye's share, absolute; `shell_error` (K, A, Z).
    `bounces` (N, K, A), `passes` (F, K, A): the dye's light by wall hits and filter passes before it, each sums to 1.
    `path_mean` (3, K, A) [m], way of the dye's light through coolant, cell glass, lamp glass; `path_left` (3, M, K, A)
    what each of `MEDIA_RUNGS` leaves of it.
    `imbalance`: largest |emitted - all| / emitted of any (k, a).
    """

    absorption: Float
    lamp_absorptance: Float
    dye: Float
    lamps: Float
    walls: Float
    openings: Float
    ends: Float
    media: Float
    cut: Float
    standard_error: Float
    shell_error: Float
    bounces: Float
    passes: Float
    path_mean: Float
    path_left: Float
    imbalance: float
    rays: int


def trace_light(
    scene: Scene,
    absorption: ArrayLike,
    lamp_absorptance: ArrayLike,
    *,
    shells: int,
    rays: int = RAYS,
    seed: int = 1,
    threads: int = 1,
    media: ArrayLike = (0.0, 0.0, 0.0),
) -> RayMap:
    """Share of the lamps' light that ends in each shell of the dye and elsewhere, by tracing rays.

    Parameters
    ----------
    scene : Scene
        The chamber, from `ray_scene`.
    absorption : array (K)
        Absorption coefficients of the dye solution, increasing. [1/m]
    lamp_absorptance : array (A)
        Absorptance of the arcs along one effective chord, 0.95 diameters. [-]
    shells : int
        Number of equal-area shells, or of layers of a slab. [-]
    rays : int
        Number of rays. [-]
    seed : int
        Seed of the random numbers; the same seed gives the same answer whatever `threads` is. [-]
    threads : int
        Threads that share the batches. [-]
    media : array (3)
        Absorption coefficients of coolant, cell glass and lamp glass. [1/m]

    Returns
    -------
    map : RayMap
        Shares of the emitted light, with their standard errors.

    Raises
    ------
    DomainError
        If a value lies outside its domain, absorption does not increase, or nothing emits.

    Notes
    -----
    Valid: geometrical optics in a prismatic chamber, unpolarised light, indices without dispersion, plasma of index 1
    that absorbs and emits evenly. A ray is followed through reflection and refraction by chance, while what absorbs
    along it takes shares: emitted and counted light agree to rounding. A lamp's own glass counts with the lamp when
    light first leaves through it. Not covered: coherence, saturation of the dye, fluorescence that pumps again,
    electrodes.
    Equation: start on the plasma's surface, Lambert's law, weight 1 - exp(-kappa chord) (Kirchhoff); Fresnel; Snell;
    Beer-Lambert. Standard error from 32 batches with scrambles of their own. Source: textbook optics; spread of the
    starts after Roberts 2018, scramble after Cranley and Patterson 1976, from memory.

    Examples
    --------
    >>> from pulsewright.physics.chamber.ray_geometry import CellBody, LampTube, Walls, ray_scene
    >>> walls = Walls("single ellipse", 0.1, 0.9, 0.0, 0.0, semi_major=25e-3, semi_minor=22e-3)
    >>> scene = ray_scene(walls, [LampTube(5e-3, 1e-3, 0.1, 1.46)], CellBody(5e-3, 1e-3, 0.1, 1.46, 1.36))
    >>> found = trace_light(scene, [100.0, 1000.0], [0.5], shells=4, rays=2048)
    >>> found.dye.shape, bool(found.imbalance < 1e-12)
    ((2, 1, 4), True)
    """
    ladder = np.ascontiguousarray(np.atleast_1d(not_negative("absorption", absorption, "1/m")))
    lamps = np.atleast_1d(within("lamp_absorptance", lamp_absorptance, 0.0, 1.0, "-"))
    if np.any(np.diff(ladder) <= 0):
        raise DomainError("absorption does not increase", argument="absorption", allowed="Allowed: increasing values")
    numbers = scene.numbers.copy()
    numbers[MEDIA : MEDIA + 3] = not_negative("media", media, "1/m")
    scene = scene._replace(numbers=numbers)
    plasma = _plasma(scene, lamps)
    zones, each = int(positive("shells", shells, "-")), max(int(positive("rays", rays, "-")) // BATCHES, 1)
    shifts = np.random.default_rng(seed).random((BATCHES, 4))

    def batch(number: int) -> Tally:
        tally = _tally(zones, len(lamps), len(ladder))
        ray = _ray(scene, zones, len(lamps), len(ladder))
        trace(scene, tally, ray, ladder, plasma, seed, number * each, each, shifts[number], STRIDE)
        return tally

    if int(positive("threads", threads, "-")) == 1:
        tallies = [batch(number) for number in range(BATCHES)]
    else:
        with ThreadPoolExecutor(threads) as pool:
            tallies = list(pool.map(batch, range(BATCHES)))
    return _gather(scene, ladder, lamps, tallies, each * BATCHES)


def _tally(shells: int, lamp_count: int, ladder_count: int) -> Tally:
    """A tally in which nothing is counted yet."""
    rows = (shells, MOST_HITS + 1, MOST_PASSES + 1, 3 * (RUNGS + 1), 5)
    dye, bounces, passes, paths, lost = (np.zeros((row, lamp_count, ladder_count)) for row in rows)
    return Tally(dye, bounces, passes, paths, lost, np.zeros(lamp_count))


def _ray(scene: Scene, shells: int, lamp_count: int, ladder_count: int, corners: int = 0) -> Ray:
    """Room for one ray after another."""
    return Ray(
        at=np.zeros(14),
        state=np.zeros(7, np.int64),
        dye=np.zeros(ladder_count),
        lamps=np.zeros(lamp_count),
        part=np.zeros((shells + 1, ladder_count)),
        cut=np.zeros(shells + 1),
        stream=np.zeros(1, np.uint64),
        start=np.zeros(4),
        spans=np.zeros((len(scene.ellipses), 2)),
        trail=np.zeros((corners, 3)),
    )


def _plasma(scene: Scene, absorptance: Float) -> Float:
    """Absorption coefficient of each body's plasma for each absorptance: (B, A)."""
    depth = np.ones(len(scene.layers))
    for emitter in scene.emitters:
        body = int(emitter[BODY])
        layer = int(np.flatnonzero(scene.kind[body] == PLASMA)[0])
        depth[body] = 2.0 * (scene.radius[body, layer] - (scene.radius[body, layer - 1] if layer else 0.0))
    optical = np.where(absorptance < 1.0, -np.log1p(-np.clip(absorptance, _LEAST, 1.0 - 1e-15)), _BLACK)
    return np.asarray(optical[None, :] / (CHORD_FACTOR * depth)[:, None])


def _gather(scene: Scene, ladder: Float, lamps: Float, tallies: list[Tally], rays: int) -> RayMap:
    dye, bounces, passes, paths, lost, emitted = (np.stack(column) for column in zip(*tallies, strict=True))
    total = emitted.sum(axis=0)
    if not np.all(total > 0):
        raise DomainError("no ray was emitted", argument="rays", allowed="Allowed: some hundreds and more")
    shares = dye.sum(axis=0) / total[None, :, None]
    parts = lost.sum(axis=0) / total[None, :, None]
    everything = shares.sum(axis=0) + parts.sum(axis=0)
    open_part = _open_part(scene)
    taken = np.maximum(bounces.sum(axis=(0, 1)), 1e-300)
    ways = (paths.sum(axis=0) / taken).reshape(3, RUNGS + 1, *taken.shape)
    return RayMap(
        absorption=ladder,
        lamp_absorptance=lamps,
        dye=_turned(shares, last=True),
        lamps=parts[0].T,
        walls=parts[1].T * (1.0 - open_part),
        openings=parts[1].T * open_part,
        ends=parts[2].T,
        media=parts[BY_MEDIA].T,
        cut=parts[BY_CUT].T,
        standard_error=_error(dye.sum(axis=1), emitted).T,
        shell_error=_turned(np.stack([_error(dye[:, z], emitted) for z in range(dye.shape[1])]), last=True),
        bounces=_turned(bounces.sum(axis=0) / taken),
        passes=_turned(passes.sum(axis=0) / taken),
        path_mean=_turned(ways[:, 0]),
        path_left=np.stack([_turned(way[1:]) for way in ways]),
        imbalance=float(np.abs(everything - 1.0).max()),
        rays=rays,
    )


def _open_part(scene: Scene) -> float:
    """Part of what the wall takes that leaves through openings."""
    opening, absorbed = scene.numbers[OPENING], (1 - scene.numbers[OPENING]) * (1 - scene.numbers[REFLECTIVITY])
    return float(opening / (opening + absorbed)) if opening + absorbed > 0 else 0.0


def _turned(values: Float, *, last: bool = False) -> Float:
    """(X, A, K) to (X, K, A), or to (K, A, X)."""
    return np.ascontiguousarray(values.transpose(2, 1, 0) if last else values.transpose(0, 2, 1))


def _error(found: Float, emitted: Float) -> Float:
    """Standard error of the ratio of two sums over batches (B, A, K) and (B, A), absolute."""
    count = len(found)
    total = emitted.sum(axis=0)
    rest = found - (found.sum(axis=0) / total[:, None])[None] * emitted[:, :, None]
    return np.asarray(np.sqrt(count / (count - 1) * np.sum(rest**2, axis=0)) / total[:, None])


def medium_transmission(absorption: ArrayLike, path_mean: ArrayLike, path_left: Float) -> Number:
    """Transmission of light whose ways through an absorbing medium differ, from what some coefficients leave of it.

    Parameters
    ----------
    absorption : float or array (...)
        Absorption coefficient of the medium. [1/m]
    path_mean : float or array, broadcasts
        Mean way. [m]
    path_left : array (7, ...), broadcasts behind the first axis
        Transmission at each of `MEDIA_RUNGS`. [-]

    Returns
    -------
    transmission : broadcast shape
        Part of the light that is left. [-]

    Raises
    ------
    DomainError
        If an argument is negative.

    Notes
    -----
    Valid: any spread of ways; exact at the rungs and for a single way. Above the last rung it goes on with the slope
    there, which leaves somewhat too little. Not covered: what else varies with the way.
    Equation: ln(-ln T) over ln kappa by cubic Lagrange polynomials, from ways alike at kappa of 1/64 and 1/16.
    Source: definition of a Laplace transform; interpolation, textbook.

    Examples
    --------
    >>> left = np.exp(-0.05 * MEDIA_RUNGS)   # all light goes 50 mm
    >>> round(medium_transmission(10.0, 0.05, left), 9) == round(float(np.exp(-0.5)), 9)
    True
    """
    kappa = not_negative("absorption", absorption, "1/m")
    mean, left = not_negative("path_mean", path_mean, "m"), not_negative("path_left", path_left, "-")
    straight = np.stack([np.broadcast_to(mean * k, np.broadcast_shapes(mean.shape, left.shape[1:])) for k in _STRAIGHT])
    seen = np.broadcast_to(-np.log(np.clip(left, _FAINT, 1.0)), (RUNGS, *straight.shape[1:]))
    depth = np.concatenate([straight, seen])
    asked = np.log(np.maximum(kappa, _FAINT))
    place = np.clip(asked, _NODES[0], _NODES[-1])
    nodes = np.log(np.maximum(depth, _FAINT))
    weights = _lagrange(place)
    weights = weights.reshape(len(_NODES), *(1,) * (depth.ndim - weights.ndim), *kappa.shape)
    slope = np.where(asked > place, np.clip((nodes[-1] - nodes[-2]) / (_NODES[-1] - _NODES[-2]), 0.0, 1.0), 1.0)
    found = np.sum(weights * nodes, axis=0) + slope * (asked - place)
    return plain(np.exp(-np.exp(found)))


def _lagrange(place: Float) -> Float:
    """Weight of each node, (9, ...): of the four about a place, the polynomial through them; of others none."""
    first = np.clip(np.searchsorted(_NODES, place) - 2, 0, len(_NODES) - 4)
    weights = np.zeros((len(_NODES), *place.shape))
    for i in range(4):
        term = np.ones_like(place)
        for j in range(4):
            if j != i:
                term *= (place - _NODES[first + j]) / (_NODES[first + i] - _NODES[first + j])
        np.put_along_axis(weights, (first + i)[None], term[None], axis=0)
    return weights


def counted_transmission(once: ArrayLike, counts: Float) -> Number:
    """Transmission of light that passes something a number of times, whose shares are counted.

    Parameters
    ----------
    once : float or array (L)
        What one time leaves; above 1 where a wall reflects more than the one the rays met. [-]
    counts : array (N, ...)
        Shares of the light that passed 0, 1, 2 ... times; they sum to 1. [-]

    Returns
    -------
    transmission : array (L, ...)
        Part of the light that is left. [-]

    Raises
    ------
    DomainError
        If `once` is negative.

    Notes
    -----
    Valid: any shares; the last count stands for all above it. Not covered: what depends on angle.
    Equation: sum of p_n t^n. Source: definition of a generating function.

    Examples
    --------
    >>> round(counted_transmission(0.5, np.array([0.0, 0.5, 0.5])), 6)
    0.375
    """
    base = not_negative("once", once, "-")
    shares = as_float(counts)
    powers = base[..., None] ** np.arange(len(shares))
    return plain(np.tensordot(powers, shares, axes=(-1, 0)))


#: Corners of one drawn ray; the drawing of it ends there.
_CORNERS = 400


def ray_paths(
    scene: Scene, absorption: float, lamp_absorptance: float, count: int = 40, seed: int = 1
) -> tuple[tuple[Float, ...], tuple[Float, ...]]:
    """Some rays as they cross the section of a chamber, for drawing.

    Parameters
    ----------
    scene : Scene
        The chamber, from `ray_scene`.
    absorption : float
        Absorption coefficient of the dye solution. [1/m]
    lamp_absorptance : float
        Absorptance of the arcs along one effective chord. [-]
    count : int
        Number of rays. [-]
    seed : int
        Seed of the random numbers. [-]

    Returns
    -------
    paths : tuple of array (corners, 2)
        Corners of each ray in the cross-section, from the lamp on. [m]
    weights : tuple of array (corners - 1)
        What dye and walls have left at the end of each leg; 1 at the lamp. [-]

    Raises
    ------
    DomainError
        If an argument lies outside its domain.

    Notes
    -----
    Valid: the kernel of `trace_light`; starts are evenly spread. Not covered: the height of the rays is left out.
    Equation: see `trace_light`. Source: there.

    Examples
    --------
    >>> from pulsewright.physics.chamber.ray_geometry import CellBody, LampTube, Walls, ray_scene
    >>> walls = Walls("circular", 0.1, 0.9, 0.0, 0.0, diameter=60e-3)
    >>> scene = ray_scene(walls, [LampTube(5e-3, 1e-3, 0.1, 1.46)], CellBody(5e-3, 1e-3, 0.1, 1.46, 1.36))
    >>> paths, weights = ray_paths(scene, 300.0, 0.5, count=3)
    >>> len(paths), all(len(path) == len(weight) + 1 for path, weight in zip(paths, weights))
    (3, True)
    """
    ladder = np.atleast_1d(not_negative("absorption", absorption, "1/m")).astype(float)
    plasma = _plasma(scene, np.atleast_1d(within("lamp_absorptance", lamp_absorptance, 0.0, 1.0, "-")))
    shift = np.random.default_rng(seed).random(4)
    paths, weights = [], []
    for number in range(int(positive("count", count, "-"))):
        ray = _ray(scene, 1, 1, 1, _CORNERS)
        trace(scene, _tally(1, 1, 1), ray, ladder, plasma, seed, number, 1, shift + number * STRIDE, STRIDE)
        used = ray.state[CORNERS]
        paths.append(ray.trail[:used, :2].copy())
        weights.append(ray.trail[1:used, 2].copy())
    return tuple(paths), tuple(weights)
