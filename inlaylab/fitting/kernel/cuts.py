"""
One cut, compiled: where its plug rests, and how likely its own readings are, with derivatives by hand.

Repeats `models.contacts`, `models.walls.wall_gap`, `fitting.model.cut_seats` and the terms of a cut in
`fitting.model.likelihood`. Symbols: T and T0 the tangents of half the true and the path angle, t tip flat, w wall
allowance, k crest loss, D and G the depths of the path in stroke and land, S, P, F start, pocket and relief depth.
"""

import math

import numpy as np

from inlaylab.fitting.kernel.compiling import compiled
from inlaylab.fitting.kernel.laws import (
    BAD_CLOSED,
    CLOSED_BY_MISTAKE,
    HALF_LOG_TAU,
    OUTCOME_BY_MISTAKE,
    ROOT_HALF,
    between,
    length,
    line,
    mistaken,
    mixed,
    picture_line,
    picture_mistake,
)
from inlaylab.fitting.kernel.noise import (
    BACKER,
    CUED,
    FACTOR,
    FLOOR_GAP,
    GAUGE,
    GLUE,
    OPENING,
    OUTCOME,
    PICTURE_BIAS,
    SHARE,
    SOFT,
    USUAL,
)
from inlaylab.fitting.kernel.packing import CUT, CUT_AT, OF_ITS_CUT, READ, READ_AT

BY_T, BY_FLAT, BY_WALL, BY_CREST, BY_LAND, BY_HOST, BY_INSERT, BY_SEAT = range(8)
CUT_SLOPES = 8
GLUE_LINE, BACKER_GAP, FLOOR_GAP_READ, POCKET_DEPTH, PLUG_DEPTH = range(len(OF_ITS_CUT))
TIP, LAND, READING = (CUT_AT.index(f"first {name}") for name in ("tip", "land", "reading"))
S, P, F, T0, OFFSET, USED, LEAST, MOST, OUT_LOW, OUT_HIGH, OUT_LEAST, OUT_MOST = range(len(CUT))
KIND, CLOSED, OUT_OF_ORDER, FROM_PICTURE = range(len(READ_AT))
VALUE, LOW, ANYTHING, STATED, DEPTHS, OTHER_DEPTHS = range(len(READ))


@compiled
def walls(c, cuts, tangent, flat, allowance):
    """Highest level of the walls, and D + G where it is."""
    at = cuts[c, MOST] if tangent < cuts[c, T0] else cuts[c, LEAST]
    open_by = at * (tangent - cuts[c, T0]) + flat - cuts[c, OFFSET]
    return (allowance - open_by) / tangent, at


@compiled
def highest(rows, start, stop, tangent, flat, loss, face):
    """Highest of min(face, (across - t/2)/T - other depth - loss) - depth + ridge, and the row that has it."""
    best, at, per = -np.inf, start, 1.0 / tangent
    for i in range(start, stop):
        level = min(face, (rows[i, 0] - 0.5 * flat) * per - rows[i, 1] - loss) - rows[i, 2]
        if rows[i, 3] > flat:
            level += 0.5 * (rows[i, 3] - flat) * per
        if level > best:
            best, at = level, i
    return best, at


@compiled
def lean(rows, at, tangent, flat, loss, face):
    """Derivatives of what `highest` found, by T, t, loss and face."""
    by_t, by_flat, by_loss, by_face = 0.0, 0.0, 0.0, 0.0
    across = rows[at, 0] - 0.5 * flat
    if across / tangent - rows[at, 1] - loss < face:
        by_t, by_flat, by_loss = -across / tangent**2, -0.5 / tangent, -1.0
    else:
        by_face = 1.0
    if rows[at, 3] > flat:
        by_t -= (rows[at, 3] - flat) / (2 * tangent**2)
        by_flat -= 0.5 / tangent
    return by_t, by_flat, by_loss, by_face


@compiled
def seat(c, p, bit, wood, host, insert):
    """Seat level of a cut without its shortfall; its derivatives by T, t, w, k, k of the host and both zero errors."""
    tangent, flat = bit
    allowance, crest, land_crest = wood
    wall, depths = walls(c, p.cuts, tangent, flat, allowance)
    nose = p.cuts[c, S] + insert
    tip, tip_at = highest(p.tips, p.cut_at[c, TIP], p.cut_at[c + 1, TIP], tangent, flat, crest, nose)
    land, land_at = highest(p.lands, p.cut_at[c, LAND], p.cut_at[c + 1, LAND], tangent, flat, land_crest, host)
    if wall >= tip and wall >= land:
        return wall, (-depths - wall) / tangent, -1.0 / tangent, 1.0 / tangent, 0.0, 0.0, 0.0, 0.0
    if tip >= land:
        by_t, by_flat, by_loss, by_face = lean(p.tips, tip_at, tangent, flat, crest, nose)
        return tip, by_t, by_flat, 0.0, by_loss, 0.0, 0.0, by_face
    by_t, by_flat, by_loss, by_face = lean(p.lands, land_at, tangent, flat, land_crest, host)
    return land, by_t, by_flat, 0.0, 0.0, by_loss, by_face, 0.0


@compiled
def closed_line(limit, gap, sd, stated, noise, by_noise):
    """A line seen closed, not out of order; as chances, not their logarithms, for it is the commonest reading."""
    share, off = noise[USUAL + SHARE], (limit - gap) / sd
    total = (1.0 - share) * 0.5 * math.erfc(-off * ROOT_HALF) + share * BAD_CLOSED
    by_gap = -(1.0 - share) * math.exp(-0.5 * off * off - HALF_LOG_TAU) / (total * sd)
    if stated:
        by_noise[OPENING] += by_gap * off * noise[OPENING] / sd
    else:
        by_noise[GLUE] += by_gap * off
    by_noise[USUAL] += share * BAD_CLOSED / total - share
    return math.log(total), by_gap, 0.0


@compiled
def glue_line(r, at, reads, gap, other, noise, by_noise):
    """A glue line that may be a mistake; its derivatives by the gap there and at the station that would fit."""
    value, stated, closed, moved = reads[r, VALUE], reads[r, STATED], at[r, CLOSED], at[r, OUT_OF_ORDER]
    sd, log_sd = noise[GLUE], noise[GLUE + 1]
    if stated > 0:
        sd = math.sqrt(stated * stated + noise[OPENING] * noise[OPENING])
        log_sd = math.log(sd)
    if closed and not moved:
        return closed_line(value, gap, sd, stated > 0, noise, by_noise)
    good, by_gap, by_sd = line(value, closed, gap, sd, log_sd)
    good += reads[r, LOW]
    by_other, bad_gap = 0.0, 0.0
    if moved:
        bad, by_other, bad_sd = line(value, closed, other, sd, log_sd)
    else:
        bad, bad_gap, bad_sd = mistaken(value, reads[r, ANYTHING], gap, sd, log_sd)
    which = CUED if moved else USUAL
    total, chance = mixed(good, bad, noise[which], noise[which + SOFT])
    by_sd += chance * (bad_sd - by_sd)
    if stated > 0:
        by_noise[OPENING] += by_sd * noise[OPENING] / sd
    else:
        by_noise[GLUE] += by_sd
    by_noise[which] += chance - noise[which + SHARE]
    return total, by_gap + chance * (bad_gap - by_gap), chance * by_other


@compiled
def line_of_picture(value, closed, stated, gap, noise, by_noise):
    """A glue line read from a picture, and its derivative by the gap."""
    opening, bias = noise[OPENING], noise[PICTURE_BIAS]
    own = noise[FACTOR] * stated
    if closed:
        sd = math.sqrt(own * own + opening * opening)
        good, by_gap, by_sd = line(value - bias, closed, gap, sd, 0.0)
        by_opening, by_own, by_bias = by_sd * opening / sd, by_sd * own / sd, by_gap
        bad = CLOSED_BY_MISTAKE
    else:
        good, by_gap, by_opening, by_own, by_bias = picture_line(value, gap, opening, own, bias)
        bad = picture_mistake(value)
    total, chance = mixed(good, bad, noise[USUAL], noise[USUAL + SOFT])
    by_noise[OPENING] += (1.0 - chance) * by_opening
    by_noise[FACTOR] += (1.0 - chance) * by_own * stated
    by_noise[PICTURE_BIAS] += (1.0 - chance) * by_bias
    by_noise[USUAL] += chance - noise[USUAL + SHARE]
    return total, (1.0 - chance) * by_gap


@compiled
def depth_read(kind, c, cuts, level, host, insert):
    """True value behind a backer gap, a floor gap or a gauged depth; its scatter; derivatives by v and both zeros."""
    if kind == BACKER_GAP:
        return cuts[c, F] + level - host, BACKER, 1.0, -1.0, 0.0
    if kind == FLOOR_GAP_READ:
        return cuts[c, P] - cuts[c, S] + level - insert, FLOOR_GAP, 1.0, 0.0, -1.0
    if kind == POCKET_DEPTH:
        return cuts[c, P] + host, GAUGE, 0.0, 1.0, 0.0
    return cuts[c, S] + cuts[c, F] + insert, GAUGE, 0.0, 0.0, 1.0


@compiled
def outcome(c, cuts, tangent, flat, level, noise, by_noise):
    """Outcome of a cut without a measured line; its derivatives by T, by t and by v."""
    depths = cuts[c, OUT_LEAST] if tangent < cuts[c, T0] else cuts[c, OUT_MOST]
    worst = depths * (tangent - cuts[c, T0]) + flat - cuts[c, OFFSET] + level * tangent
    good, by_mean, by_sd = between(cuts[c, OUT_LOW], cuts[c, OUT_HIGH], worst, noise[OUTCOME])
    total, chance = mixed(good, OUTCOME_BY_MISTAKE, noise[USUAL], noise[USUAL + SOFT])
    by_noise[USUAL] += chance - noise[USUAL + SHARE]
    by_noise[OUTCOME] += (1.0 - chance) * by_sd
    by_mean *= 1.0 - chance
    return total, by_mean * (depths + level), by_mean, by_mean * tangent


@compiled
def cut_terms(c, p, bit, wood, own, noise, slopes, by_noise):
    """
    Log density of a cut's own readings.

    ``bit`` is (T, t), ``wood`` (w, k of the insert, k of the host), ``own`` (host's zero error, insert's, shortfall);
    ``slopes`` is set to the derivatives by all of them, ``by_noise`` grows by those by what scatters.
    """
    tangent, flat = bit
    host, insert, shortfall = own
    rest = seat(c, p, bit, wood, host, insert)
    level = rest[0] + shortfall
    total, by_level, by_t, by_flat, by_host, by_insert = 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
    spread, out = tangent - p.cuts[c, T0], flat - p.cuts[c, OFFSET] + level * tangent
    at, reads = p.read_at, p.reads
    for r in range(p.cut_at[c, READING], p.cut_at[c + 1, READING]):
        kind, value, stated = at[r, KIND], reads[r, VALUE], reads[r, STATED]
        if kind == GLUE_LINE:
            here, there, by_other = reads[r, DEPTHS], reads[r, OTHER_DEPTHS], 0.0
            gap = here * spread + out
            if at[r, FROM_PICTURE]:
                worth, by_gap = line_of_picture(value, at[r, CLOSED], stated, gap, noise, by_noise)
            else:
                worth, by_gap, by_other = glue_line(r, at, reads, gap, there * spread + out, noise, by_noise)
            by_t += by_gap * (here + level) + by_other * (there + level)
            by_flat += by_gap + by_other
            by_level += (by_gap + by_other) * tangent
        else:
            mean, of, to_level, to_host, to_insert = depth_read(kind, c, p.cuts, level, host, insert)
            sd, log_sd = noise[of], noise[of + 1]
            if stated > 0:
                sd, log_sd = stated, math.log(stated)
            worth, by_mean, by_sd, chance = length(
                value, reads[r, ANYTHING], mean, sd, log_sd, noise[USUAL], noise[USUAL + SOFT]
            )
            if stated == 0:
                by_noise[of] += by_sd
            by_noise[USUAL] += chance - noise[USUAL + SHARE]
            by_level += by_mean * to_level
            by_host += by_mean * to_host
            by_insert += by_mean * to_insert
        total += worth
    if p.cuts[c, OUT_LOW] == p.cuts[c, OUT_LOW]:  # else it is NaN: the outcome says nothing more
        worth, out_t, out_flat, out_level = outcome(c, p.cuts, tangent, flat, level, noise, by_noise)
        total += worth
        by_t, by_flat, by_level = by_t + out_t, by_flat + out_flat, by_level + out_level
    slopes[BY_T], slopes[BY_FLAT] = by_t + by_level * rest[1], by_flat + by_level * rest[2]
    slopes[BY_WALL], slopes[BY_CREST], slopes[BY_LAND] = by_level * rest[3], by_level * rest[4], by_level * rest[5]
    slopes[BY_HOST], slopes[BY_INSERT] = by_host + by_level * rest[6], by_insert + by_level * rest[7]
    slopes[BY_SEAT] = by_level
    return total
