"""What scatters, once for a vector of latents: standard deviations with their logarithms, and odds of mistakes."""

import math

import numpy as np

from inlaylab.fitting.kernel.compiling import compiled
from inlaylab.fitting.kernel.laws import logistic, softplus
from inlaylab.fitting.model.beliefs import SHOP

GLUE, WEDGE, BACKER, FLOOR_GAP, GAUGE, GROOVE, OUTCOME = range(0, 14, 2)
"""Standard deviations of readings, each followed by its logarithm."""
OPENING, PICTURE_BIAS, FACTOR = range(14, 17)
USUAL, CUED = range(17, 19)
SHARE, SOFT = 2, 4
"""Log-odds of a mistake; so many places on, the chance itself and the softplus of the odds."""
SIZE = 23

LOUPE, FEELER, SAWN, DEPTH_GAUGE, STOP, LOCAL, MISTAKE, CUE, BIAS_OF_PICTURE, FACTOR_OF_PICTURE = (
    SHOP.index(name)
    for name in (
        "loupe_sd", "feeler_sd", "floor_gap_sd", "gauge_sd", "wedge_sd", "opening_sd", "mistake_chance", "cue_chance",
        "picture_bias", "picture_factor",
    )
)  # fmt: skip
FINE, COARSE = 0.01**2 / 12, 0.05**2 / 12
"""Variances of the finest divisions that are read, as in `likelihood.SCATTER`. [mm2]"""


@compiled
def noise_of(shop):
    """Everything that scatters, from the shop's values."""
    noise = np.empty(SIZE)
    loupe, local = shop[LOUPE] ** 2, shop[LOCAL] ** 2
    noise[GLUE], noise[WEDGE] = loupe + local + FINE, shop[STOP] ** 2 + COARSE
    noise[BACKER], noise[FLOOR_GAP] = shop[FEELER] ** 2 + COARSE, shop[SAWN] ** 2 + COARSE
    noise[GAUGE], noise[GROOVE] = shop[DEPTH_GAUGE] ** 2 + FINE, loupe + FINE
    noise[OUTCOME] = loupe + local
    for i in range(GLUE, OPENING, 2):
        noise[i] = math.sqrt(noise[i])
        noise[i + 1] = math.log(noise[i])
    noise[OPENING], noise[PICTURE_BIAS], noise[FACTOR] = shop[LOCAL], shop[BIAS_OF_PICTURE], shop[FACTOR_OF_PICTURE]
    noise[USUAL], noise[CUED] = shop[MISTAKE], shop[CUE]
    noise[USUAL + SHARE], noise[CUED + SHARE] = logistic(shop[MISTAKE]), logistic(shop[CUE])
    noise[USUAL + SOFT], noise[CUED + SOFT] = softplus(shop[MISTAKE]), softplus(shop[CUE])
    return noise


@compiled
def add_noise_slopes(by_noise, noise, shop, by_shop):
    """Carry the derivatives by what scatters over to the shop's values."""
    line, groove, outcome = (
        by_noise[GLUE] / noise[GLUE],
        by_noise[GROOVE] / noise[GROOVE],
        by_noise[OUTCOME] / noise[OUTCOME],
    )
    by_shop[LOUPE] += (line + groove + outcome) * shop[LOUPE]
    by_shop[LOCAL] += (line + outcome) * shop[LOCAL] + by_noise[OPENING]
    by_shop[STOP] += by_noise[WEDGE] / noise[WEDGE] * shop[STOP]
    by_shop[FEELER] += by_noise[BACKER] / noise[BACKER] * shop[FEELER]
    by_shop[SAWN] += by_noise[FLOOR_GAP] / noise[FLOOR_GAP] * shop[SAWN]
    by_shop[DEPTH_GAUGE] += by_noise[GAUGE] / noise[GAUGE] * shop[DEPTH_GAUGE]
    by_shop[BIAS_OF_PICTURE] += by_noise[PICTURE_BIAS]
    by_shop[FACTOR_OF_PICTURE] += by_noise[FACTOR]
    by_shop[MISTAKE] += by_noise[USUAL]
    by_shop[CUE] += by_noise[CUED]
