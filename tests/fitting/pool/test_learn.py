"""The middle and spread over shops are found again where they are known; a single shop pulls only so hard."""

from dataclasses import replace

import numpy as np
import numpy.testing as npt
import pytest

from inlaylab.errors import InputError
from inlaylab.fitting.model.beliefs import KIT, SHOP, Beliefs
from inlaylab.fitting.pool.evidence import ALONE, GROUPS, Evidence, evidence_of, mean_square, straight
from inlaylab.fitting.pool.learn import FAR, learn, spread_over_shops

NAMES = (*ALONE, *GROUPS)
K = len(NAMES)
WITHIN = np.sqrt([mean_square(name, KIT) for name in GROUPS])


def evidence(values, rng, *, noise=0.4, name="", began=None, informed=slice(None), within=WITHIN, members=(2, 2, 3, 3)):
    """
    Give what readings say of a shop with these values, in the kit's spreads, and members about those of groups.

    Each is read once, with noise, and some are not read.
    """
    group = np.repeat(np.arange(len(GROUPS)), members)
    truth = np.concatenate([values[: len(ALONE)], values[len(ALONE) + group]])
    truth[len(ALONE) :] += within[group] * rng.standard_normal(len(group))
    precision = np.zeros(len(truth))
    precision[informed] = 1 / noise**2
    seen = truth + noise * rng.standard_normal(len(truth))
    left = {which: 1 / (1 + precision[place]) for place, which in enumerate(ALONE)}
    known = 1 / (1 + precision[len(ALONE)])
    for middle, (spread, _) in GROUPS.items():
        left[middle] = left[spread] = known
    return Evidence(
        fingerprint=name or str(rng.integers(1 << 60)),
        cuts=5,
        readings=40,
        members=members,
        precision=np.diag(precision),
        pull=precision * seen,
        left=np.array([left[which] for which in SHOP]),
        angle_precision=np.array([25.0, 25.0]),
        angle_pull=25.0 * (1.0 + 0.5 * rng.standard_normal(2)),
        began=began or KIT.figures(),
    )


def told(beliefs, name):
    """Middle and spread of a belief in the kit's spreads."""
    own, kit = beliefs.priors[name], KIT.priors[name]
    return (straight(name, own.centre) - straight(name, kit.centre)) / kit.spread, own.spread / kit.spread


def test_a_known_middle_and_spread_are_found_again():
    rng = np.random.default_rng(4)
    middle, spread = rng.normal(0, 1, K), rng.uniform(0.3, 1.2, K)
    shops = [evidence(middle + spread * rng.standard_normal(K), rng) for _ in range(300)]
    beliefs = learn(shops)
    found = np.array([told(beliefs, name) for name in NAMES])
    apart = np.concatenate([np.zeros(len(ALONE)), WITHIN / np.sqrt((2, 2, 3, 3))])  # of the mean of few members
    assert np.all(np.abs(found[:, 0] - middle) < 4.5 * np.hypot(np.hypot(spread, 0.4), apart) / np.sqrt(300) + 0.02)
    alone = found[: len(ALONE), 1] / spread[: len(ALONE)]
    npt.assert_allclose(alone, 1, atol=0.3)
    assert np.mean(np.abs(alone - 1)) < 0.08
    # Of a variance whose members scatter by w: 4 sd of what 300 shops can tell of it, and the kit's two votes.
    groups = np.abs(found[len(ALONE) :, 1] ** 2 - spread[len(ALONE) :] ** 2)
    assert np.all(groups < 4 * np.sqrt(2 / 300) * (spread**2 + apart**2 + 0.16)[len(ALONE) :] + 0.05)
    for name, _ in GROUPS.values():
        assert abs(told(beliefs, name)[0]) * KIT.priors[name].spread < 0.17  # 4 / sqrt(2 * 300): of a log spread
        assert beliefs.priors[name].spread == KIT.priors[name].spread
    assert beliefs.priors["bias"].shops == 300 and beliefs.readings == 12_000 and beliefs.basis == "pooled"
    angle = beliefs.priors["angle_error"]  # planted 1.0 and 0.5 of the kit's spread, read with 0.2 of it
    assert angle.centre == pytest.approx(0.5, abs=0.06) and angle.spread == pytest.approx(0.25, abs=0.06)


def test_the_middle_is_the_handbook_mean_where_every_shop_is_equally_sure():
    # DerSimonian and Laird (1986), from memory: with equal within-variances the middle is the mean of the studies.
    values = np.array([[-1.0], [0.0], [0.5], [2.5]])
    found = spread_over_shops(
        np.full((4, 1, 1), 1e8), 1e8 * values, kit_middle=np.zeros(1), kit_spread=np.ones(1) * 2.0
    )
    npt.assert_allclose(found.middle, values.sum() / 5, atol=1e-4)  # and the kit's one vote for 0
    squares = ((values - found.middle) ** 2).sum() + 2 * 4.0
    npt.assert_allclose(found.spread, np.sqrt(squares / 6), rtol=1e-3)


@pytest.mark.long
@pytest.mark.parametrize("bits", [2, 3])
def test_how_much_the_bits_of_a_shop_differ_is_no_difference_between_shops(bits):
    # Nested random effects: 200 shops that are alike, whose bits differ twice as much as the kit has it.
    rng = np.random.default_rng(7)
    shops = [
        evidence(np.zeros(K) + 0.1 * rng.standard_normal(K), rng, within=2 * WITHIN, members=(bits, 1, 1, 1))
        for _ in range(200)
    ]
    beliefs = learn(shops)
    ratio = beliefs.priors["tip_flat_ratio"]
    assert ratio.centre == pytest.approx(2 * KIT.priors["tip_flat_ratio"].centre, rel=0.08)
    middle, spread = told(beliefs, "tip_flat_mean")
    apart = 2 * WITHIN[0] / np.sqrt(bits)  # by which means of so few bits differ though all shops are alike
    assert spread < 0.45 * apart and abs(middle) < 4 * apart / np.sqrt(200)


def test_shops_with_different_numbers_of_bits_are_learnt_from_together():
    rng = np.random.default_rng(8)
    shops = [evidence(np.ones(K), rng, members=(1 + n % 4, 2, 2, 1 + n % 2)) for n in range(120)]
    beliefs = learn(shops)
    assert told(beliefs, "tip_flat_mean")[0] == pytest.approx(1.0, abs=0.2)
    assert told(beliefs, "tip_flat_ratio")[0] == pytest.approx(0.0, abs=0.4)


def test_what_no_shop_knows_stays_the_kits():
    rng = np.random.default_rng(1)
    shops = [evidence(np.ones(K), rng, informed=slice(0, 3)) for _ in range(30)]
    beliefs = learn(shops)
    assert beliefs.priors[ALONE[10]] == KIT.priors[ALONE[10]]
    assert beliefs.priors[ALONE[1]].shops == 30


def test_one_shop_pulls_no_harder_however_far_out_it_lies_and_however_much_it_measured():
    rng = np.random.default_rng(2)
    plain = [evidence(0.5 * rng.standard_normal(K), rng) for _ in range(20)]
    far = [told(learn([*plain, evidence(np.full(K, size), rng, noise=0.01)]), "bias") for size in (10.0, 1000.0)]
    without = told(learn(plain), "bias")
    assert abs(far[0][0] - without[0]) < 0.35 and far[0][1] < 2 * without[1] + FAR / 4
    npt.assert_allclose(far[0], far[1], atol=0.1)


def test_order_and_doubles_do_not_matter():
    rng = np.random.default_rng(3)
    shops = [evidence(rng.standard_normal(K), rng, name=f"{n:03d}") for n in range(6)]
    assert learn(shops) == learn([*reversed(shops), shops[2]])


def test_it_does_not_matter_which_beliefs_a_fit_began_with():
    rng = np.random.default_rng(5)
    shops = [evidence(rng.standard_normal(K), rng, name=f"{n}") for n in range(8)]
    figures = {name: (KIT.priors[name].centre * 1.3, KIT.priors[name].spread * 0.6) for name in KIT.priors}
    other = Beliefs(priors={name: replace(KIT.priors[name], centre=c, spread=s) for name, (c, s) in figures.items()})
    moved = []
    names = (*ALONE, *np.repeat(list(GROUPS), (2, 2, 3, 3)))
    for shop in shops:  # the same likelihood, written in latents of the other beliefs
        scale = np.array([other.priors[n].spread / KIT.priors[n].spread for n in names])
        shift = np.array(
            [
                (straight(n, other.priors[n].centre) - straight(n, KIT.priors[n].centre)) / KIT.priors[n].spread
                for n in names
            ]
        )
        pull = scale * (shop.pull - shop.precision @ shift)
        precision = scale[:, None] * shop.precision * scale
        ratio = other.priors["angle_error"].spread / KIT.priors["angle_error"].spread
        moved.append(
            replace(
                shop,
                pull=pull,
                precision=precision,
                began=other.figures(),
                angle_precision=shop.angle_precision * ratio**2,
                angle_pull=shop.angle_pull * ratio,
            )
        )
    one, two = learn(shops), learn(moved)
    for name in KIT.priors:
        npt.assert_allclose(two.figures()[name], one.figures()[name], rtol=1e-4)


def test_a_fit_gives_back_what_its_readings_said(small_shop, made_fit):
    # z ~ N(0, 1) read once as 0.8 with sd 0.5 is N(0.64, 0.2): the worked case of any book on Bayes' rule.
    rng = np.random.default_rng(9)
    fit = made_fit(small_shop, size=40_000, bias=0.64 + np.sqrt(0.2) * rng.standard_normal(40_000))
    found = evidence_of(fit)
    place = ALONE.index("bias")
    assert found.precision[place, place] == pytest.approx(4.0, rel=0.06)
    assert found.pull[place] == pytest.approx(3.2, rel=0.06)
    assert found.left[SHOP.index("bias")] == pytest.approx(0.2, rel=0.03)
    rest = np.delete(np.arange(len(found.pull)), place)
    assert np.abs(found.precision[np.ix_(rest, rest)]).max() < 0.15
    again = Evidence.from_record(found.record())
    npt.assert_array_equal(again.precision, found.precision)


def test_what_is_known_of_a_bit_is_kept_as_known_of_the_bit(small_shop, made_fit):
    # A flat whose logarithm was read as y with sd 0.1: that is its likelihood, whatever the shop's other bits are.
    rng = np.random.default_rng(10)
    size = 40_000
    bits = len(small_shop.bits)
    kit = KIT.priors["tip_flat_mean"], KIT.priors["tip_flat_ratio"]
    middle, ratio = rng.standard_normal(size), kit[1].centre * np.exp(kit[1].spread * rng.standard_normal(size))
    flat = kit[0].spread * middle[:, None] + ratio[:, None] * rng.standard_normal((size, bits))
    weight = np.exp(-0.5 * ((flat[:, 0] - 0.5) / 0.1) ** 2)
    kept = rng.choice(size, size, p=weight / weight.sum())
    flat, middle, ratio = flat[kept], middle[kept], ratio[kept]
    latents = {"tip_flat_mean": middle, "tip_flat_ratio": (np.log(ratio / kit[1].centre)) / kit[1].spread}
    latents["z_tip"] = (flat - kit[0].spread * middle[:, None]) / ratio[:, None]
    found = evidence_of(made_fit(small_shop, size=size, **latents))
    place = len(ALONE)
    assert found.members[0] == bits
    assert found.precision[place, place] == pytest.approx((kit[0].spread / 0.1) ** 2, rel=0.15)
    assert found.pull[place] / found.precision[place, place] == pytest.approx(0.5 / kit[0].spread, rel=0.05)


@pytest.mark.parametrize(
    "spoil",
    [
        lambda r: r.pop("pull"),
        lambda r: r.update(left=[1.0]),
        lambda r: r.update(members=[2, 2]),
        lambda r: r.update(pull=[float("nan")] * len(r["pull"])),
        lambda r: r.update(format=9),
    ],
)
def test_broken_evidence_is_refused(spoil):
    record = evidence(np.zeros(K), np.random.default_rng(0)).record()
    spoil(record)
    with pytest.raises(InputError, match="no evidence of a shop"):
        Evidence.from_record(record)


def test_one_shop_is_too_few():
    with pytest.raises(InputError, match="two at least"):
        learn([evidence(np.zeros(K), np.random.default_rng(0))])
