"""
Hamiltonian Monte Carlo, compiled: chains that move in latents which are turned and stretched.

The scale has the posterior's own form: what lasts is z = W u, and the three latents of a cut follow it,
z_cut = K z + D u_cut. Neal, R. M. (2011), "MCMC using Hamiltonian dynamics", Handbook of Markov Chain Monte Carlo.
"""

import math

import numpy as np

from inlaylab.fitting.kernel.compiling import compiled, entry, once, summing
from inlaylab.fitting.kernel.density import density
from inlaylab.fitting.kernel.moves import move

TOO_FAR = 1000.0
"""A trajectory whose energy is off by more has diverged."""


@summing
def stretched(u, scale, out):
    """Set out to S u."""
    count = len(scale.lasting)
    for i in range(count):
        total = 0.0
        for j in range(count):
            total += scale.whole[i, j] * u[j]
        out[i] = total
    for c in range(scale.own.shape[0]):
        for i in range(3):
            total = 0.0
            for j in range(count):
                total += scale.follow[c, i, j] * out[j]
            for j in range(3):
                total += scale.single[c, i, j] * u[count + 3 * c + j]
            out[count + 3 * c + i] = total


@summing
def transposed(grad, scale, work, out):
    """Set out to S' grad; the gradient is in the order of the latents."""
    count = len(scale.lasting)
    for i in range(count):
        work[i] = grad[scale.lasting[i]]
        out[i] = 0.0
    for c in range(scale.own.shape[0]):
        first, second, third = (grad[scale.own[c, 0]], grad[scale.own[c, 1]], grad[scale.own[c, 2]])
        for j in range(count):
            work[j] += scale.follow[c, 0, j] * first + scale.follow[c, 1, j] * second + scale.follow[c, 2, j] * third
        for j in range(3):
            out[count + 3 * c + j] = (
                scale.single[c, 0, j] * first + scale.single[c, 1, j] * second + scale.single[c, 2, j] * third
            )
    for i in range(count):
        for j in range(count):
            out[j] += scale.whole[i, j] * work[i]


@compiled
def shift(z, way, far, scale):
    """Move the latents by far times a way in the scale's order."""
    count = len(scale.lasting)
    for i in range(count):
        z[scale.lasting[i]] += far * way[i]
    for c in range(scale.own.shape[0]):
        for i in range(3):
            z[scale.own[c, i]] += far * way[count + 3 * c + i]


@once
def trajectory(z, height, grad, p, scale, rng, step_size, length):
    """One trajectory, in place; gives the log density where it ends, the acceptance, and whether it diverged."""
    size = len(z)
    speed, way, push, work = np.empty(size), np.empty(size), np.empty(size), np.empty(size)
    here, slope = np.empty(size), np.empty(size)
    energy = -height
    for i in range(size):
        here[i], slope[i] = z[i], grad[i]
        speed[i] = rng.standard_normal()
        energy += 0.5 * speed[i] * speed[i]
    transposed(slope, scale, work, push)
    level = height
    for _ in range(length):
        for i in range(size):
            speed[i] += 0.5 * step_size * push[i]
        stretched(speed, scale, way)
        shift(here, way, step_size, scale)
        level = density(here, p, slope)
        transposed(slope, scale, work, push)
        for i in range(size):
            speed[i] += 0.5 * step_size * push[i]
        if not abs(level) < 1e12:
            break
    after = -level
    for i in range(size):
        after += 0.5 * speed[i] * speed[i]
    gain = energy - after
    if not gain > -TOO_FAR:  # not a number counts as diverged
        return height, 0.0, True
    accepted = min(1.0, math.exp(min(gain, 0.0)))
    if rng.random() < accepted:
        for i in range(size):
            z[i], grad[i] = here[i], slope[i]
        return level, accepted, False
    return height, accepted, False


@entry
def stretch(z, p, scale, rng, step_size, lengths, places, slopes, figures):
    """
    Steps of one chain: all moves, then one trajectory, again and again; ``z`` ends where the chain does.

    Parameters
    ----------
    z : array, shape (size,)
    p : Packed
    scale : Scale
    rng : numpy.random.Generator
        The chain's own.
    step_size : float
    lengths : array of int, shape (steps,)
        Steps of each trajectory.
    places, slopes : array, shape (steps, size)
        Are set to the draws and the gradients there.
    figures : array, shape (steps, 3)
        Is set to log density, acceptance and divergence.
    """
    grad = np.empty(len(z))
    for n in range(len(lengths)):
        move(z, p, rng)
        height = density(z, p, grad)
        height, accepted, diverged = trajectory(z, height, grad, p, scale, rng, step_size, lengths[n])
        for i in range(len(z)):
            places[n, i], slopes[n, i] = z[i], grad[i]
        figures[n, 0], figures[n, 1], figures[n, 2] = height, accepted, 1.0 if diverged else 0.0
