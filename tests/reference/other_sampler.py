"""
General samplers beside the project's own, on the same log density: NumPyro's NUTS and emcee's ensembles.

And how far two runs differ.
"""

import numpy as np


def nuts(density, size, *, seed, chains=4, tuning=600, kept=1500, depth=7):
    """Draws (chains, kept, size) of a log density of one vector, its divergences and its steps."""
    import jax
    from numpyro.infer import MCMC, NUTS

    jax.config.update("jax_enable_x64", True)
    kernel = NUTS(potential_fn=lambda z: -density(z), max_tree_depth=depth, target_accept_prob=0.85)
    run = MCMC(
        kernel, num_warmup=tuning, num_samples=kept, num_chains=chains, chain_method="vectorized", progress_bar=False
    )
    start = 0.3 * np.random.default_rng(seed).standard_normal((chains, size))
    run.run(
        jax.random.PRNGKey(seed),
        init_params=jax.numpy.asarray(start if chains > 1 else start[0]),
        extra_fields=("diverging", "num_steps"),
    )
    fields = run.get_extra_fields()
    draws = np.asarray(run.get_samples(group_by_chain=True))
    return draws, int(np.asarray(fields["diverging"]).sum()), int(np.asarray(fields["num_steps"]).sum())


def ensemble(density, start, *, seed, tuning, kept, thin):
    """Draws (walkers, kept, size) of emcee's ensemble, by differential evolution; start is (walkers, size)."""
    import emcee
    import jax

    jax.config.update("jax_enable_x64", True)
    walkers, size = start.shape
    run = emcee.EnsembleSampler(
        walkers,
        size,
        jax.jit(lambda places: jax.numpy.nan_to_num(jax.vmap(density)(places), nan=-np.inf)),  # far out it overflows
        vectorize=True,
        moves=[(emcee.moves.DEMove(), 0.8), (emcee.moves.DESnookerMove(), 0.2)],
    )
    run.random_state = np.random.RandomState(seed).get_state()
    middle = run.run_mcmc(start, tuning, store=False)
    run.run_mcmc(middle, kept, thin_by=thin)
    return run.get_chain().swapaxes(0, 1)


def _flat(quantities):
    names, columns = [], []
    for name, value in quantities.items():
        flat = value.reshape(*value.shape[:2], -1)
        names += [f"{name} {i}" if flat.shape[-1] > 1 else name for i in range(flat.shape[-1])]
        columns.append(flat)
    return names, np.concatenate(columns, axis=-1)


def figures(quantities):
    """Mean, Monte Carlo error of the mean, R-hat and effective size of every quantity (chains, draws, ...)."""
    from arviz_stats.base import array_stats

    names, draws = _flat(quantities)
    size = np.asarray(array_stats.ess(draws, chain_axis=0, draw_axis=1, method="mean"))
    r_hat = np.asarray(array_stats.rhat(draws, chain_axis=0, draw_axis=1, method="rank"))
    sd = draws.std(axis=(0, 1))
    return names, draws.mean(axis=(0, 1)), sd / np.sqrt(size), sd, r_hat, size


def differences(ours, theirs):
    """Difference of the means in Monte Carlo errors, and in posterior standard deviations, by name."""
    names, mean, error, sd, _, _ = figures(ours)
    _, other, other_error, _, _, _ = figures(theirs)
    return names, (mean - other) / np.hypot(error, other_error), (mean - other) / sd
