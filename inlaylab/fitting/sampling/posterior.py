"""
Draws from the posterior: many chains side by side.

The run goes in short stretches, so that it can show progress, be stopped and be reported on. The chains
themselves are in `inlaylab.fitting.sampling.chains`.
"""

import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field, replace
from importlib import import_module
from threading import Thread

import numpy as np

from inlaylab.errors import Stopped
from inlaylab.fitting.kernel.packing import Scale, pack
from inlaylab.fitting.model.observations import Observations
from inlaylab.fitting.model.priors import KIT, Beliefs
from inlaylab.fitting.sampling.chains import STRETCH, Chains, Recipe
from inlaylab.fitting.sampling.diagnostics import ESS_GOOD, R_HAT_GOOD, Diagnostics
from inlaylab.fitting.sampling.jumps import APART, Jumps
from inlaylab.fitting.sampling.start import begin

EARLY = 100
"""Draws that make a first answer."""

RESCALED, GATHERED = (0, 1, 2, 4, 6), (3, 5)
"""Stretches of tuning after which the scale is learnt anew, and chains left on a side hill are moved."""

SPARE = 0.15
"""Share of the planned run that the progress bar keeps back, as the run may have to go on for longer."""

Progress = Callable[[float, float | None, str], None]
"""Called with the share done, the seconds left (or None) and what is going on."""


@dataclass(frozen=True, kw_only=True)
class Run:
    """
    What a run gives.

    Parameters
    ----------
    draws : array, shape (chains, kept, size)
        Standard normal latents.
    divergences, steps : int
        Divergent steps; gradient evaluations of all chains after tuning.
    seconds : float
        Wall-clock time.
    scale : Scale
        Turn and stretch that the chains ended with.
    step_size : float
        Step size that they ended with.
    judged : Diagnostics or None
        What the judge said of the draws.
    """

    draws: np.ndarray
    divergences: int
    steps: int
    seconds: float
    scale: Scale
    step_size: float
    judged: Diagnostics | None


def sample(
    seen: Observations,
    *,
    seed: int,
    beliefs: Beliefs = KIT,
    recipe: Recipe | None = None,
    progress: Progress | None = None,
    stop: Callable[[], bool] | None = None,
    judge: Callable[[np.ndarray], Diagnostics] | None = None,
    preview: Callable[[np.ndarray], None] | None = None,
) -> Run:
    """
    Run the chains.

    Parameters
    ----------
    seen : Observations
        The shop.
    seed : int
        The same seed gives the same draws.
    beliefs : Beliefs, optional
        What was believed before any cut.
    recipe : Recipe, optional
        Lengths of the run.
    progress : callable, optional
        See `Progress`.
    stop : callable, optional
        Asked between stretches; true ends the run.
    judge : callable, optional
        Judges the draws (chains, kept, size); the run goes on, up to its longest, until they are good.
    preview : callable, optional
        Called once, with the first draws that are kept: `EARLY` and a few more.

    Returns
    -------
    run : Run

    Raises
    ------
    Stopped
        When ``stop`` said so.
    """
    layout = seen.names.layout()
    recipe = recipe or Recipe()
    clock = Clock(total=recipe.tuning + recipe.kept, progress=progress, stop=stop)
    make_ready(clock)
    packed = pack(seen, beliefs)
    start = begin(packed, layout, beliefs, chains=recipe.chains, rng=np.random.default_rng([seed, 1]))
    chains = Chains(packed, start, layout=layout, recipe=recipe, seed=seed)
    tune(chains, clock)

    def jumps(draws: np.ndarray) -> Jumps:
        return Jumps(packed, layout=layout, archive=draws, rng=np.random.default_rng([seed, 4]))

    run = keep(chains, clock, judge=judge, preview=preview, jumps=jumps)
    clock.say(1.0, 0.0, "sampling")
    return run


def tune(chains: Chains, clock: "Clock") -> None:
    """Let the chains find the posterior, and learn its scale from them."""
    for done in range(0, chains.recipe.tuning, STRETCH):
        chains.advance()
        if done // STRETCH in GATHERED:
            chains.gather()
        chains.tune(rescale=done // STRETCH in RESCALED)
        clock.tick("tuning the sampler")
    chains.clouds.clear()


def keep(
    chains: Chains,
    clock: "Clock",
    *,
    judge: Callable[[np.ndarray], Diagnostics] | None = None,
    preview: Callable[[np.ndarray], None] | None = None,
    content: tuple[float, float] = (R_HAT_GOOD, ESS_GOOD),
    jumps: Callable[[np.ndarray], Jumps] | None = None,
) -> Run:
    """
    Let tuned chains run, and keep their draws, until the judge's figures are as wanted; see `sample`.

    Where the chains are found not to agree at all, they begin anew with jumps that are made of where they have been.
    """
    kept: list[np.ndarray] = []
    divergences, steps, judged, early = 0, 0, None, -(-EARLY // chains.count)
    jumping: Jumps | None = None
    while clock.done < clock.total:
        if jumping is not None:
            jumping.leap(chains.place)
        kept.append(chains.advance())
        chains.clouds.clear()
        divergences += chains.divergences
        steps += chains.steps * chains.count
        clock.tick("sampling")
        if preview is not None and sum(part.shape[1] for part in kept) >= early:
            preview(np.concatenate(kept, axis=1))
            preview = None
        if clock.done >= clock.total and judge is not None:
            kept = [np.concatenate(kept, axis=1)]  # in one piece, and only once: logs grow large
            judged = replace(judge(kept[0]), divergences=divergences)
            good = judged.worst_r_hat <= content[0] and judged.smallest_ess >= content[1]
            steps_kept = kept[0].shape[1]
            if good or steps_kept >= chains.recipe.longest:
                break
            if judged.worst_r_hat > APART and jumps is not None:
                jumping, jumps, kept, divergences = jumps(kept[0]), None, [], 0
                clock.total += chains.recipe.kept
            else:
                clock.total += STRETCH * max(5, steps_kept // (4 * STRETCH))  # longer each time: judging is not free
    return Run(
        draws=kept[0] if len(kept) == 1 else np.concatenate(kept, axis=1),
        divergences=divergences,
        steps=steps,
        seconds=time.perf_counter() - clock.began,
        scale=chains.scale,
        step_size=chains.step_size,
        judged=judged,
    )


@dataclass(kw_only=True)
class Clock:
    """
    Progress and the stop button.

    The share shown never falls: each stretch takes its part of what is left of the bar, and `SPARE` is kept back for a
    run that turns out longer than planned.
    """

    total: int
    progress: Progress | None
    stop: Callable[[], bool] | None
    done: int = 0
    shown: float = 0.0
    began: float = field(default_factory=time.perf_counter)

    def ask(self) -> None:
        """
        Look at the stop button.

        Raises
        ------
        Stopped
            Where it was pressed.
        """
        if self.stop is not None and self.stop():
            raise Stopped("the fit was stopped before it ended; nothing was stored")

    def say(self, share: float, left: float | None, doing: str) -> None:
        """Tell how far it is."""
        self.shown = share
        if self.progress is not None:
            self.progress(share, left, doing)

    def rest(self) -> Progress | None:
        """Give what tells the progress of other work that takes over from here, on what is left of the bar."""
        told, done = self.progress, self.shown
        if told is None or done == 0.0:
            return told
        return lambda share, left, doing: told(done + (1.0 - done) * share, left, doing)

    def tick(self, doing: str) -> None:
        """One stretch more is done."""
        ahead = self.total - self.done + SPARE * self.total
        self.done += STRETCH
        self.ask()
        share, spent = min(self.done / self.total, 1.0), time.perf_counter() - self.began
        left = spent / share - spent if share > 0.1 else None
        self.say(self.shown + (1.0 - self.shown) * min(STRETCH / ahead, 1.0), left, doing)


def make_ready(clock: Clock) -> None:
    """Load the compiled functions; where this machine has none yet, compile them, and say how long that takes."""
    from inlaylab.fitting.kernel.ready import COMPILING, is_ready, load

    if is_ready():
        return
    # what judges the chains takes a second to import: beside the chains, which leave the interpreter to it
    Thread(target=import_module, args=("arviz_stats.base",), daemon=True).start()
    with ThreadPoolExecutor(1) as pool:
        began, work = time.perf_counter(), pool.submit(load)
        while True:
            try:
                work.result(timeout=0.3)
                break
            except TimeoutError:
                spent = time.perf_counter() - began
                share = 0.1 * min(spent / COMPILING, 1.0)
                clock.say(share, max(COMPILING - spent, 1.0), "preparing this machine, this once")
    clock.began = time.perf_counter()
