"""
Ways to choose what to measure next with a new bit, compared on simulated shops.

``python tests/benchmarks/next_cut.py [--shops 6] [--bits 6] [--refits 3] [--seed 1]`` (needs ``inlaylab[benchmarks]``)

Each shop is invented: its truth is drawn from the kit's own starting beliefs (shop, pairs and woods half as far from
their middle, for else few shops can do the job asked), it logs ten cuts with three bits and is fitted once. Then new
bits come, without any reading; each way may make two measurements. After each the start depth to go by is asked for
again and compared with the ideal one, found by brute force with every lasting value known: 20,000 pieces seated at
each start depth, the bend where 1 in 20 has opened by more than the hair that nobody sees.

Two figures matter: by how much the true expected worst glue line at the start depth is wider than the tightest there
is (regret), and how much depth is given away against the ideal; the rule's own price (1 mm of depth for 1/19 of the
line that a mm too many opens) puts them together (loss).

A new bit changes the fit only through its own readings, so that no refit is needed: 16,000 draws (the fit's, each
with a fresh bit from the shop's law) are weighed by the likelihood of all readings so far, with what a single cut
brings averaged out, and drawn again by weight. ``--refits`` says for how many of the bits a whole fit is run as well
and compared. The physics that makes the readings is the house's own, checked elsewhere; readings have no mistakes.

The ways: ours (`next_cut`); always cutting at the present start depth to go by; the same with both depths taken by
gauge as well; a maker's steps (floor gaps of 0.6 and then 0.3 mm, common practice, no source); a general Bayesian
optimiser (bayesian-optimization) that chooses the start depths while our fit advises; the same alone, advising the
best start depth that it has tried; a loupe and then a cut.

Last measured (``--shops 9 --bits 5 --refits 0``, to its end: 45 new bits), after 0, 1 and 2 measurements:

======================  =======================  ======================  ====================  ==================
way                     |depth given away| [mm]  loss [0.001 mm]         its standard error    regret [0.001 mm]
======================  =======================  ======================  ====================  ==================
ours                    0.213, 0.071, 0.059      10.9, 3.6, 3.5          3.2, 0.9, 1.0         5.1, 1.6, 1.8
at the advice           0.213, 0.086, 0.095      10.9, 3.8, 4.1          3.2, 0.9, 1.3         5.1, 1.3, 1.3
advice, with gauges     0.213, 0.072, 0.058      10.9, 3.5, 3.2          3.2, 0.9, 0.9         5.1, 1.4, 1.5
a maker's steps         0.213, 0.088, 0.062      10.9, 3.9, 3.0          3.2, 0.9, 0.9         5.1, 1.2, 1.2
optimiser chooses       0.213, 0.082, 0.065      10.9, 3.7, 3.4          3.2, 0.9, 0.9         5.1, 1.2, 1.5
a loupe, then advice    0.213, 0.153, 0.066      10.9, 6.9, 3.6          3.2, 1.4, 0.9         5.1, 2.9, 1.6
the optimiser alone     0.170, 0.840, 0.608      74.9, 28.3, 26.2        11.9, 3.2, 3.6        74.9, 0.1, 8.2
======================  =======================  ======================  ====================  ==================

Only the loupe first and the optimiser alone differ from ours beyond the errors: with our fit advising, any sensible cut
teaches about as much, and a gauge on both depths a little more. Ours began with a cut for 24 bits, with a cut and
gauges for 21. Smallest effective number of draws 8, in the middle 1,478 of 16,000.
"""

import argparse
import json
import time
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from inlaylab.bench.bits import Bit, Groove
from inlaylab.bench.coupons import Coupon, Station, Stroke
from inlaylab.bench.cuts import Cut, Pair
from inlaylab.bench.habits import Habits
from inlaylab.bench.readings import Reading
from inlaylab.bench.shop import Shop
from inlaylab.fitting.advice.depth_rule import DEPTH_PRICE, SPARED
from inlaylab.fitting.advice.start_depth import go_by
from inlaylab.fitting.advice.worst_lines import HAIR
from inlaylab.fitting.fit import Fit, fit_shop
from inlaylab.fitting.model.cut_arrays import Names, cut_arrays, pieces, used_before
from inlaylab.fitting.model.likelihood import scatter
from inlaylab.fitting.model.observations import observe
from inlaylab.fitting.model.priors import SHOP, draw_prior, values
from inlaylab.fitting.next import simulated_results as results
from inlaylab.fitting.next.coupon_readings import coupon_piece
from inlaylab.fitting.next.next_cut import next_cut
from inlaylab.fitting.predict.draws import Scenario, single_cut
from inlaylab.fitting.predict.question import Question
from inlaylab.models.filling import chances
from inlaylab.models.seating import seat
from inlaylab.models.walls import half_tangent

WITHIN, CHANCE = 0.10, 0.9
HALF = 0.5
"""How far from the middle of the kit's beliefs the shops are, against the beliefs themselves."""
DRAWS, CHUNK, KEPT = 16_000, 4_000, 4_800
PAIRS = (Pair(pair="p1", host="walnut", insert="maple"), Pair(pair="p2", host="cherry", insert="maple"))
LOOKS = {30.0: (5.0, 1.5), 60.0: (4.0, 1.5), 90.0: (2.5, 1.2)}  # nominal angle: pocket depth, relief depth
LADDER = Coupon(
    coupon="ladder",
    stations=[
        Station(
            coupon="ladder", station=f"B{n}", kind="bar", stroke_width=w, land_width=g, grain=("along", "across")[n % 2]
        )
        for n, (w, g) in enumerate(
            [(0.8, 3.0), (1.2, 2.5), (1.8, 2.0), (2.8, 3.0), (4.0, 1.5), (6.0, 5.0), (8.0, 3.0), (10.0, 8.0)], start=1
        )
    ],
)


# --- the truth and the bench -----------------------------------------------------------------------------------------
@dataclass(frozen=True, kw_only=True)
class Truth:
    """What nobody in the shop knows: one draw of everything, and the order of its names."""

    fitted: dict
    names: Names


def section_of(truth, shop, cut, strokes):
    """Keyword arguments of the models for one cut, one draw by strokes."""
    pair, bit = shop.pair(cut.pair), truth.names.bits.index(cut.bit)
    half = np.array(strokes)
    fitted, species = truth.fitted, truth.names.species.index
    worn = fitted["wear_rate"][0] * used_before(shop, (cut,))[0]
    return {
        "pocket_depth": cut.pocket_depth,
        "relief_depth": cut.relief_depth,
        "stroke_half_width": half[:, 0],
        "land_half_width": half[:, 1],
        "path_angle": cut.path_angle(shop.bit(cut.bit)),
        "true_angle": fitted["true_angle"][0, bit],
        "tip_flat": fitted["tip_flat"][0, bit] + worn,
        "wall_allowance": fitted["wall_allowance"][0, truth.names.pairs.index(cut.pair)],
        "crest_loss": fitted["crest_loss"][0, species(pair.insert)],
        "land_crest_loss": fitted["crest_loss"][0, species(pair.host)],
    }


def make_cut(truth, shop, cut, rng, also=()):
    """Cut the coupon and read it: the backer gap, at each bar whether it filled and its glue line, gauges if asked."""
    fitted = truth.fitted
    one = {key: value[:, 0] for key, value in single_cut(fitted, rng, (1, 1)).items()}
    zeros = {key: float(one[key][0]) for key in ("host_zero_error", "insert_zero_error")}
    shortfall = float(one["shortfall"][0])
    section = section_of(truth, shop, cut, pieces(cut, shop))
    rest = seat(start_depth=cut.start_depth, seat_shortfall=shortfall, **zeros, **section)
    level = float(np.ravel(rest.seat_level)[0])
    gaps = np.ravel(rest.wall_gap)

    def read(kind, true, **more):
        sd, step = float(scatter(kind, fitted)[0]), 0.05 if kind == "backer_gap" else 0.01
        value = round((true + np.sqrt(max(sd**2 - step**2 / 12, 0)) * rng.standard_normal()) / step) * step
        return value, Reading(cut=cut.cut, kind=kind, value=max(value, 0.0), unit="mm", **more)

    found = [read("backer_gap", cut.relief_depth + level - zeros["host_zero_error"])[1]]
    worst = 0.0
    programmed = {"pocket_depth": (cut.pocket_depth, "host_zero_error")}
    programmed["plug_depth"] = (cut.start_depth + cut.relief_depth, "insert_zero_error")
    gauges = np.random.default_rng(rng.integers(1 << 30))  # of its own: the other readings stay the same
    for kind in also:
        depth, zero = programmed[kind]
        error = float(fitted["gauge_sd"][0]) * gauges.standard_normal()
        found.append(Reading(cut=cut.cut, kind=kind, value=round(depth + zeros[zero] + error, 2), unit="mm"))
    for station, gap in zip(LADDER.stations, gaps, strict=True):
        finished = station.stroke_width - 0.6 * half_tangent(section["path_angle"])
        law = {"half_filled_width": fitted["half_filled"][0, truth.names.species.index(shop.pair(cut.pair).insert)]}
        law |= {key: fitted[name][0] for key, name in FILLING.items()}
        share = chances(finished_width=finished, across=float(station.grain == "across"), **law)
        state = ("missing", "partly", "filled")[rng.choice(3, p=share / share.sum())]
        if station.stroke_width < 2:
            found.append(Reading(cut=cut.cut, kind="fill", station=station.station, state=state))
        if state == "missing":
            continue
        value, reading = read("glue_line", gap, station=station.station, limit=0.05)
        worst = max(worst, value)
        if value < 0.05:
            reading = replace(reading, value=None, state="closed")
        found.append(reading)
    return found, worst


FILLING = {"softness": "fill_softness", "across_shift": "across_shift", "step": "fill_step"}


class Known:
    """What a maker who knows every lasting value would see: true worst lines, and the ideal start depth."""

    def __init__(self, truth, shop, question, count=20_000):
        rng = np.random.default_rng(5)
        fitted = {name: np.repeat(value, count, axis=0) for name, value in truth.fitted.items() if name in SHOP}
        one = single_cut(fitted, rng, (count, 1))
        opening = fitted["opening_sd"][:, None] * rng.standard_normal((count, len(question.half_widths)))
        self.fixed = {
            "host_zero_error": one["host_zero_error"],
            "insert_zero_error": one["insert_zero_error"],
            "seat_shortfall": one["shortfall"],
            "local_opening": opening,
        } | section_of(truth, shop, question.cut(1.0), question.half_widths)
        self.slope = float(half_tangent(self.fixed["true_angle"]))
        low, high = question.span
        first = self.lines(low)
        self.tightest = float(first.mean())
        bend = self._deepest(lambda line: line <= first + HAIR, SPARED, low, high)
        self.best = bend
        if np.mean(first <= question.within) >= question.chance:
            self.best = min(bend, self._deepest(lambda line: line <= question.within, question.chance, low, high))

    def lines(self, depth):
        """Worst glue line of each piece at a start depth."""
        return seat(start_depth=depth, **self.fixed).glue_line.max(axis=-1)

    def _deepest(self, good, share, low, high):
        if np.mean(good(self.lines(high))) >= share:
            return high
        for _ in range(12):
            middle = (low + high) / 2
            low, high = (middle, high) if np.mean(good(self.lines(middle))) >= share else (low, middle)
        return low

    def judge(self, depth):
        """Regret, depth given away (below zero: too deep) and loss of a start depth."""
        regret, away = float(self.lines(depth).mean()) - self.tightest, self.best - depth
        return regret, away, regret + self.slope * DEPTH_PRICE * max(0.0, away)


def make_shop(rng, new_bits):
    """An invented shop with ten logged cuts, some bits without any, and its truth."""
    known = [Bit(bit=f"b{int(angle)}", nominal_angle_deg=angle, tip_flat=None) for angle in LOOKS]
    new = [Bit(bit=f"new{n}", nominal_angle_deg=float(rng.choice(list(LOOKS)))) for n in range(new_bits)]
    shop = Shop(
        bits=known + new, pairs=PAIRS, coupons=[LADDER], habits=Habits(sanded_off=0.3, loupe_limit=0.05), cuts=()
    )
    plan = []
    for n in range(10):
        bit = known[n % 3]
        pocket, relief = LOOKS[bit.nominal_angle_deg]
        gap = float(rng.choice([0.0, 0.1, 0.2, 0.3, 0.4, 0.6]))
        depths = {"start_depth": round(pocket - gap, 2), "pocket_depth": pocket, "relief_depth": relief}
        date, pair = f"2026-03-{n + 1:02d}", PAIRS[n // 3 % 2].pair
        plan.append(Cut(cut=f"k{n}", date=date, bit=bit.bit, pair=pair, coupon="ladder", sanded_off=0.3, **depths))
    seen = observe(replace(shop, cuts=plan))
    layout = seen.names.layout()
    blocks = layout.split(draw_prior(layout, rng, 1))
    for name, block in blocks.items():  # a shop that can do the job; its bits and cuts differ as the kit believes
        block *= 1.0 if name in ("z_angle", "z_tip", "z_host", "z_insert", "z_shortfall") else HALF
    fitted = values(blocks, nominal_angles=seen.nominal_angles)
    truth = Truth(fitted=fitted, names=seen.names)
    readings = []
    for n, cut in enumerate(plan):
        readings += make_cut(truth, replace(shop, cuts=plan[:n]), cut, rng)[0]
    return replace(shop, cuts=plan, readings=readings), truth


def ask(shop, bit, rng):
    """A question about a new bit: an artwork of five to nine strokes, one of them wide enough for a floor."""
    pocket, relief = LOOKS[shop.bit(bit).nominal_angle_deg]
    widths = np.round(np.exp(rng.uniform(np.log(0.8), np.log(11), rng.integers(4, 9))), 2)
    floor = 2 * pocket * float(half_tangent(shop.bit(bit).nominal_angle_deg))
    widths = np.append(widths, round(1.3 * floor, 2))
    strokes = tuple(Stroke(stroke_width=w, land_width=round(float(rng.uniform(1.5, 9)), 2)) for w in widths)
    pair = PAIRS[rng.integers(2)].pair
    depths = {"pocket_depth": pocket, "relief_depth": relief, "coupon": "ladder"}
    return Question(bit=bit, pair=pair, strokes=strokes, within=WITHIN, chance=CHANCE, **depths)


# --- learning without a refit ----------------------------------------------------------------------------------------
class Belief:
    """Draws of everything, weighed by what was measured of one new bit."""

    def __init__(self, fit, shop, bit, rng):
        self.base, self.rng = fit, rng
        flat = np.resize(fit.draws.reshape(-1, fit.draws.shape[-1]), (DRAWS, fit.draws.shape[-1])).copy()
        blocks, at = fit.names.layout().split(flat), fit.names.bits.index(bit)
        for name in ("z_angle", "z_tip"):  # nothing is logged of this bit: its posterior is the shop's law for bits
            blocks[name][:, at] = rng.standard_normal(DRAWS)
        self.flat, self.bit, self.at = flat, bit, at
        self.values = values(blocks, nominal_angles=fit.nominal_angles)
        self.log_weights, self.shop = np.zeros(DRAWS), shop

    def effective(self):
        weights = np.exp(self.log_weights - self.log_weights.max())
        return weights.sum() ** 2 / (weights**2).sum()

    def fit(self):
        """A fit with draws taken by weight (systematic resampling)."""
        weights = np.exp(self.log_weights - self.log_weights.max())
        edges = np.cumsum(weights) / weights.sum()
        rows = np.searchsorted(edges, (np.arange(KEPT) + self.rng.uniform()) / KEPT)
        draws = self.flat[self.rng.permutation(rows)].reshape(self.base.draws.shape[0], -1, self.flat.shape[1])
        return replace_draws(self.base, draws)

    def learn(self, make, result, question):
        """Weigh all draws by one result; ``make`` gives the measurement for some of them."""
        for start in range(0, DRAWS, CHUNK):
            part = slice(start, start + CHUNK)
            pair = self.shop.pair(question.pair)
            woods = tuple(dict.fromkeys((pair.insert, pair.host)))
            names = Names(bits=(self.bit,), pairs=(question.pair,), species=woods, cuts=())
            pick = {"true_angle": [self.at], "tip_flat": [self.at]}
            pick["wall_allowance"] = [self.base.names.pairs.index(question.pair)]
            pick["crest_loss"] = pick["half_filled"] = [self.base.names.species.index(wood) for wood in woods]
            fitted = {name: self.values[name][part] for name in SHOP}
            fitted |= {name: self.values[name][part][:, columns] for name, columns in pick.items()}
            cuts = cut_arrays(self.shop, (question.cut(1.0),), names, strokes=[question.half_widths])
            world = Scenario(fitted=fitted, cuts=cuts, rng=self.rng)
            single = results.single_pieces(fitted, self.rng, 48)
            self.log_weights[part] += results.log_chances(make(world, single), result)[:, 0]


def replace_draws(fit, draws):
    """The same fit with other draws (its cached values belong to the old ones)."""
    kept = {name: getattr(fit, name) for name in Fit.__dataclass_fields__}
    return Fit(**(kept | {"draws": draws}))


def measure(choice, belief, truth, question, rng):
    """Carry out one measurement: log it, weigh the draws by it; returns what an optimiser would be told."""
    shop, kind = belief.shop, choice[0]
    flat = truth.fitted["tip_flat"][0, belief.at] + truth.fitted["wear_rate"][0] * used_before(
        shop, (question.cut(1.0),)
    )
    if kind == "tip_flat":
        value = max(round(float(flat[0] + 0.05 * rng.standard_normal()), 2), 0.0)
        bits = [replace(bit, tip_flat=value) if bit.bit == belief.bit else bit for bit in shop.bits]
        read, after = [value if value > 0 else np.nan], replace(shop, bits=bits)
        make = lambda world, _: results.loupe_on_flat(world)  # noqa: E731
        closed = [value == 0]
    elif kind == "groove":
        zero = float(single_cut(truth.fitted, rng, (1, 1))["host_zero_error"][0, 0])
        slope = float(half_tangent(truth.fitted["true_angle"][0, belief.at]))
        noise = truth.fitted["loupe_sd"][0] * rng.standard_normal(len(choice[1]))
        read = [round(float(flat[0] + 2 * (d + zero) * slope + e), 2) for d, e in zip(choice[1], noise, strict=True)]
        day = "2026-04-01"
        cut = [Groove(bit=belief.bit, date=day, depth=d, width=w) for d, w in zip(choice[1], read, strict=True)]
        after, closed = replace(shop, grooves=[*shop.grooves, *cut]), [False] * 3
        make = lambda world, single: results.grooves(world, single, choice[1])  # noqa: E731
    else:
        return _measure_cut(choice, belief, truth, question, rng)
    belief.learn(make, results.Results(values=np.array([read]), closed=np.array([closed])), question)
    belief.shop = after
    return None


def _measure_cut(choice, belief, truth, question, rng):
    shop, kind = belief.shop, choice[0]
    start = choice[1] if kind == "cut" else question.pocket_depth - 0.5
    name = f"n{len(shop.cuts)}"
    cut = replace(
        question.cut(round(start, 3)), cut=name, coupon="ladder", sanded_off=0.3, date=f"2026-05-{len(shop.cuts):02d}"
    )
    worst = None
    if kind == "depth_gauge":
        zeros = single_cut(truth.fitted, rng, (1, 1))
        sd = float(truth.fitted["gauge_sd"][0])
        read = [
            round(float(zeros[k][0, 0] + sd * rng.standard_normal()), 2)
            for k in ("host_zero_error", "insert_zero_error")
        ]
        programmed = {"pocket_depth": cut.pocket_depth, "plug_depth": cut.start_depth + cut.relief_depth}
        new = [
            Reading(cut=name, kind=k, value=d + e, unit="mm")
            for (k, d), e in zip(programmed.items(), read, strict=True)
        ]
        make, closed = results.depth_gauge, [False, False]
    else:
        also = choice[2] if len(choice) > 2 else ()
        new, worst = make_cut(truth, shop, cut, rng, also)
        lines = {r.station: r for r in new if r.kind == "glue_line"}
        stations = [lines.get(station.station) for station in LADDER.stations]
        read = [np.nan if r is None or r.value is None else r.value for r in stations]
        closed = [r is not None and r.state == "closed" for r in stations] + [False] * (1 + len(also))
        less = {"backer_gap": cut.relief_depth, "pocket_depth": cut.pocket_depth}
        less["plug_depth"] = cut.start_depth + cut.relief_depth
        read += [next(r.value for r in new if r.kind == kind) - less[kind] for kind in ("backer_gap", *also)]

        def make(world, single):
            piece = coupon_piece(world, single, shop, cut, coupon=LADDER, kinds=("backer_gap", *also))
            return piece.measurement(cut.start_depth)

    belief.learn(make, results.Results(values=np.array([read]), closed=np.array([closed])), question)
    belief.shop = replace(shop, cuts=[*shop.cuts, cut], readings=[*shop.readings, *new])
    return worst


# --- the ways ------------------------------------------------------------------------------------------------------
def advise(fit, shop, question):
    """Start depth to go by."""
    return go_by(fit, shop, question)[2]


def ours(state):
    found = next_cut(state["fit"], state["belief"].shop, state["question"])
    state["said"].append((found.measure + (" and gauges" if found.also else ""), found.enough))
    if found.measure == "cut":
        return ("cut", found.start_depth, found.also)
    return (found.measure, found.groove_depths)


def at_advice(state):
    return ("cut", state["advice"])


def with_gauges(state):
    return ("cut", state["advice"], ("pocket_depth", "plug_depth"))


def steps(state):
    return ("cut", state["question"].pocket_depth - (0.6, 0.3)[state["step"]])


def optimiser(state):
    return ("cut", float(state["optimiser"].suggest()["start_depth"]))


def loupe_first(state):
    return at_advice(state) if state["step"] else ("tip_flat", None)


WAYS = {
    "ours": ours,
    "at the advice": at_advice,
    "advice, with gauges": with_gauges,
    "maker's steps": steps,
    "optimiser chooses": optimiser,
    "loupe, then advice": loupe_first,
}


def follow(way, fit, shop, truth, question, seed, first):
    """Start depths to go by after 1 and 2 measurements by one way; those of the optimiser alone."""
    from bayes_opt import BayesianOptimization

    belief = Belief(fit, shop, question.bit, np.random.default_rng([seed, 1]))
    low, high = question.span
    bounds = {"start_depth": (low, high)}
    state = {"belief": belief, "question": question, "said": [], "fit": first[0], "advice": first[1]}
    state["optimiser"] = BayesianOptimization(
        f=None, pbounds=bounds, random_state=seed, verbose=0, allow_duplicate_points=True
    )
    depths, alone, shops = [], [], []
    price = DEPTH_PRICE * float(half_tangent(shop.bit(question.bit).nominal_angle_deg))
    for step in range(2):
        state["step"] = step
        choice = WAYS[way](state)
        worst = measure(choice, belief, truth, question, np.random.default_rng([seed, 100 + step]))
        if way == "optimiser chooses":
            score = -worst - price * (question.pocket_depth - choice[1])  # as tight, then as deep, as can be
            state["optimiser"].register(params={"start_depth": choice[1]}, target=score)
            alone.append(state["optimiser"].max["params"]["start_depth"])
        state["fit"] = belief.fit()
        state["advice"] = advise(state["fit"], belief.shop, question)
        depths.append(state["advice"])
        shops.append(belief.shop)
    return {"depths": depths, "alone": alone, "said": state["said"], "effective": belief.effective(), "shops": shops}


def told(name, rows):
    """One line: mean regret, depth given away and loss after 0, 1 and 2 measurements, and the loss's error."""
    regret, away, loss = np.moveaxis(np.array(rows), 2, 0)
    error = loss.std(axis=0) / np.sqrt(len(loss))
    parts = (regret.mean(axis=0), np.abs(away).mean(axis=0), loss.mean(axis=0), error)
    print(f"{name:22}" + "   ".join(" ".join(f"{value:7.4f}" for value in part) for part in parts), flush=True)


def one_shop(options, number, lost):
    """Make one shop and follow every way with each of its new bits; adds to what is kept."""
    rng = np.random.default_rng([options.seed, number])
    shop, truth = make_shop(rng, options.bits)
    began = time.perf_counter()
    fit = fit_shop(shop, seed=1)
    print(f"shop {number}: fitted in {time.perf_counter() - began:.0f} s, converged: {fit.converged}", flush=True)
    for bit in (b.bit for b in shop.bits if b.bit.startswith("new") and fit.converged):
        question = ask(shop, bit, rng)
        known, seed = Known(truth, shop, question), int(rng.integers(1 << 30))
        start = Belief(fit, shop, bit, np.random.default_rng([seed, 1])).fit()
        advice = advise(start, shop, question)
        for way in WAYS:
            got = follow(way, fit, shop, truth, question, seed, (start, advice))
            lost["ways"][way].append([known.judge(depth) for depth in (advice, *got["depths"])])
            lost["effective"].append(float(got["effective"]))
            if way == "optimiser chooses":
                alone = [question.pocket_depth, *got["alone"]]  # before any cut: no floor gap
                lost["ways"]["optimiser alone"].append([known.judge(depth) for depth in alone])
            if way == "ours":
                lost["said"].append(got["said"])
                if len(lost["checks"]) < options.refits:
                    again = fit_shop(got["shops"][0], seed=2)
                    lost["checks"].append((got["depths"][0], advise(again, got["shops"][0], question)))
        row = "  ".join(f"{way} {' '.join(f'{each[2]:.4f}' for each in lost['ways'][way][-1])}" for way in WAYS)
        print(f"  {bit} best {known.best:.2f}: {row}; ours {lost['said'][-1]}", flush=True)


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[1])
    for name, value in (("shops", 6), ("bits", 6), ("refits", 3), ("seed", 1)):
        parser.add_argument(f"--{name}", type=int, default=value)
    parser.add_argument("--keep", type=Path, help="file for what is done so far: another run goes on from there")
    options = parser.parse_args()
    lost = {"ways": {way: [] for way in (*WAYS, "optimiser alone")}, "said": [], "checks": [], "effective": []}
    lost["shops"] = 0
    if options.keep and options.keep.exists():
        lost = json.loads(options.keep.read_text())
    for number in range(lost["shops"], options.shops):
        one_shop(options, number, lost)
        lost["shops"] = number + 1
        if options.keep:
            options.keep.write_text(json.dumps(lost))
    print(
        f"\n{len(lost['said'])} new bits; after 0, 1, 2 measurements: mean regret, |depth given away|, loss, its error"
    )
    for way, rows in lost["ways"].items():
        told(way, rows)
    first = [words[0][0] for words in lost["said"]]
    print("ours began with:", {name: first.count(name) for name in sorted(set(first))})
    effective = lost["effective"]
    print(f"smallest effective number of draws {min(effective):.0f}, median {np.median(effective):.0f} of {DRAWS}")
    print("weighed draws against whole fits [mm]:", ", ".join(f"{a:.3f} / {b:.3f}" for a, b in lost["checks"]))


if __name__ == "__main__":
    main()
