"""
Two logs that were one, merged.

The reference is a dictionary: each record has an identity that the test gives it and the log never sees, and what
becomes of it follows from what each side did to it, by the definition: one-sided changes are taken, the same change on
both sides is one, different ones are asked.
"""

import os
import random
from collections import Counter

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from inlaylab.bench.bits import Bit
from inlaylab.bench.cuts import Cut
from inlaylab.bench.readings import Reading
from inlaylab.log.file.rescue import copy_log
from inlaylab.log.health import check_file
from inlaylab.log.merging.join import MergeConflict, join, look
from inlaylab.log.store import Log

KINDS = ("backer_gap", "floor_gap", "plug_depth")
SIDES = ("mine", "theirs")


class Bench:
    """A maker who changes a log at random, and a dictionary of what each record is by now."""

    def __init__(self, path, name, known, chance):
        self.path, self.name, self.chance = path, name, chance
        self.there = dict(known)  # identity -> ("cut", notes, start depth) or ("reading", identity of its cut, value)
        self.names = {}  # identity of a cut -> its name
        self.count = 0

    def new(self, kind):
        self.count += 1
        return f"{kind} {self.name}{self.count}"

    def cuts(self):
        return [each for each, what in self.there.items() if what[0] == "cut"]

    def readings(self, cut=None):
        return [e for e, what in self.there.items() if what[0] == "reading" and cut in (None, what[1])]

    def record(self, identity):
        what = self.there[identity]
        if what[0] == "cut":
            depths = {"start_depth": what[2], "pocket_depth": 4.2, "relief_depth": 1.6}
            return Cut(cut=self.names[identity], bit="b1", pair="p1", notes=what[1], **depths)
        return Reading(cut=self.names[what[1]], kind=KINDS[what[3]], value=what[2], unit="mm")

    def do(self, step):
        """Do one thing, in the log and in the dictionary."""
        cuts, readings = self.cuts(), self.readings()
        with Log.open(self.path) as log:
            if step == "add cut" or not cuts:
                identity = self.new("cut")
                self.names[identity] = f"k {identity}"
                self.there[identity] = ("cut", "", 2.5)
                log.add(self.record(identity), by=self.name)
            elif step == "add reading" or (step in ("correct reading", "delete reading") and not readings):
                identity = self.new("reading")
                value = self.count + (1000 if self.name == "b" else 0)
                self.there[identity] = ("reading", self.chance.choice(cuts), value / 100, self.chance.randrange(3))
                log.add(self.record(identity), by=self.name)
            elif step == "correct reading":
                self._correct(log, self.chance.choice(readings), 2, self.chance.choice((7.25, 8.5)))
            elif step == "correct cut":
                self._correct(log, self.chance.choice(cuts), 1, self.chance.choice(("glue", "dust")))
            elif step == "delete reading":
                identity = self.chance.choice(readings)
                log.delete(self.record(identity), by=self.name)
                del self.there[identity]
            elif step == "delete cut":
                cut = self.chance.choice(cuts)
                log.delete(self.record(cut), by=self.name)
                for each in [*self.readings(cut), cut]:
                    del self.there[each]
            elif step == "undo and redo" and log.next_undo() is not None:
                log.undo(by=self.name)
                log.redo(by=self.name)

    def _correct(self, log, identity, at, value):
        old, what = self.record(identity), list(self.there[identity])
        what[at] = value
        self.there[identity] = tuple(what)
        if self.record(identity) != old:
            log.correct(old, self.record(identity), by=self.name)


def reference(base, mine, theirs, chosen):
    """Merge three dictionaries by the definition; give the result and the cuts and readings that are asked."""
    result, asked = {}, set()
    deleted_cut = {}  # a cut that one side deleted -> which side
    for identity in base:
        if base[identity][0] == "cut" and (identity in mine) != (identity in theirs):
            deleted_cut[identity] = SIDES[identity in mine]  # mine has it: theirs deleted it
    for identity in sorted({*base, *mine, *theirs}):
        a, m, t = base.get(identity), mine.get(identity), theirs.get(identity)
        cut = next((each[1] for each in (a, m, t) if each and each[0] == "reading"), None)
        if cut in deleted_cut:
            there = (mine, theirs)[deleted_cut[cut] == "mine"].get(identity)
            if there is not None and there != a:
                asked.add(cut)
            continue
        if m == t or t == a:
            result[identity] = m
        elif m == a:
            result[identity] = t
        else:
            asked.add(identity)
            result[identity] = (m, t)[chosen.get(identity) == "theirs"]
    for cut, side in deleted_cut.items():
        kept = chosen.get(cut) if cut in asked else side
        for identity in sorted({*base, *mine, *theirs}):
            what = next((each[identity] for each in (mine, theirs) if identity in each), None)
            if identity == cut or (what and what[0] == "reading" and what[1] == cut):
                result[identity] = (mine, theirs)[kept == "theirs"].get(identity)
    return {identity: what for identity, what in result.items() if what is not None}, asked


def told(there, names):
    """Give a dictionary's records without identities: a bag of plain tuples."""
    bag = Counter()
    for what in there.values():
        bag[(*what[:1], names[what[1]], *what[2:]) if what[0] == "reading" else what] += 1
    for identity, what in there.items():
        if what[0] == "cut":
            bag[("named", names[identity], *what[1:])] += 1
    return bag


def held(path):
    """Give a log's records as the same bag."""
    with Log.open(path) as log:
        shop = log.shop()
    bag = Counter(("reading", r.cut, r.value, KINDS.index(r.kind)) for r in shop.readings)
    for cut in shop.cuts:
        bag[("cut", cut.notes, cut.start_depth)] += 1
        bag[("named", cut.cut, cut.notes, cut.start_depth)] += 1
    return bag


STEPS = st.sampled_from(
    (
        "add cut",
        "add reading",
        "add reading",
        "correct reading",
        "correct cut",
        "delete reading",
        "delete cut",
        "undo and redo",
    )
)


def grown(folder, before, here, there, chance):
    """Two logs that were one, each grown by its own steps."""
    from inlaylab.bench.cuts import Pair

    one = folder / "a.inlay"
    with Log.make(one) as log:
        log.add([Bit(bit="b1", nominal_angle_deg=60), Pair(pair="p1", host="maple", insert="walnut")])
    first = Bench(one, "o", {}, chance)
    for step in before:
        first.do(step)
    other = copy_log(one, folder / "b.inlay")
    mine, theirs = (Bench(path, name, first.there, chance) for path, name in ((one, "a"), (other, "b")))
    for bench, steps in ((mine, here), (theirs, there)):
        bench.names.update(first.names)
        for step in steps:
            bench.do(step)
    return dict(first.there), mine, theirs


def asked_by(joined, mine, theirs, base):
    """Tell by identity what a merge asks."""
    by_name = {name: identity for identity, name in {**mine.names, **theirs.names}.items()}
    found = {}
    for conflict in joined.conflicts:
        if conflict.table == "cuts":
            found[by_name[(conflict.mine or conflict.theirs).cut]] = conflict.name
            continue
        versions = conflict.before, conflict.mine, conflict.theirs
        for identity, what in base.items():
            said = [each.get(identity) for each in (base, mine.there, theirs.there)]
            if (
                what[0] == "reading"
                and all(
                    (a is None) == (b is None)
                    and (
                        a is None
                        or (a.cut, a.value, a.kind) == ({**mine.names, **theirs.names}[b[1]], b[2], KINDS[b[3]])
                    )
                    for a, b in zip(versions, said, strict=True)
                )
                and identity not in found
            ):
                found[identity] = conflict.name
                break
    return found


@pytest.mark.long
@settings(
    max_examples=150 if os.environ.get("INLAYLAB_LONG") else 10,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(
    before=st.lists(STEPS, min_size=3, max_size=10),
    here=st.lists(STEPS, min_size=3, max_size=10),
    there=st.lists(STEPS, min_size=3, max_size=10),
    seed=st.integers(0, 2**31),
)
def test_a_merge_is_what_the_definition_says(tmp_path_factory, before, here, there, seed):
    chance = random.Random(seed)
    base, mine, theirs = grown(tmp_path_factory.mktemp("grown"), before, here, there, chance)
    names = {**mine.names, **theirs.names}
    joined = look(mine.path, theirs.path)
    asked = asked_by(joined, mine, theirs, base)
    _, wanted = reference(base, mine.there, theirs.there, {})
    assert set(asked) == wanted
    chosen = {identity: chance.choice(SIDES) for identity in sorted(asked)}
    start = held(mine.path), held(theirs.path)
    if asked:
        with pytest.raises(MergeConflict):
            join(mine.path, theirs.path)
        assert held(mine.path) == start[0]
    backwards = copy_log(theirs.path, theirs.path.with_name("back.inlay"))
    join(mine.path, theirs.path, choices={asked[each]: side for each, side in chosen.items()}, seen=joined.seen)
    result, _ = reference(base, mine.there, theirs.there, chosen)
    assert held(mine.path) == told(result, names)
    assert held(theirs.path) == start[1] and check_file(mine.path) == ()

    merged = held(mine.path)  # the other way about it is the same, and each then has what the other has
    assert not look(backwards, copy_log(mine.path, mine.path.with_name("c"))).conflicts, "nothing is asked twice"
    join(backwards, mine.path)
    assert held(backwards) == merged
    assert not any(look(mine.path, backwards).added.values())

    with Log.open(mine.path) as log:
        if log.history() and log.history()[0].merged:
            log.undo()
            assert held(mine.path) == start[0]
            log.redo()
    assert held(mine.path) == merged
