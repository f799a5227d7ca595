"""The array library in use, and that the traced models give what the plain ones give."""

import numpy as np
import numpy.testing as npt

from inlaylab.models import arrays, contacts, filling

SECTION = {
    "pocket_depth": 4.4,
    "relief_depth": 3.0,
    "stroke_half_width": np.array([0.3, 1.0, 6.0]),
    "land_half_width": np.array([0.4, 9.0, 9.0]),
    "other_land_half_width": 2.0,
    "other_stroke_half_width": 1.0,
    "path_angle": 60.0,
    "crest_loss": 0.1,
    "pass_spacing": 0.3,
    "taper": 0.1,
}


def test_numpy_serves_numbers_lists_and_arrays():
    assert arrays.namespace() is np
    assert arrays.namespace(1, [2.0], np.ones(3)) is np


def test_a_jax_array_brings_its_own_library():
    import jax.numpy as jnp

    assert arrays.namespace(1.0, jnp.ones(2)) is jnp


def test_plain_leaves_arrays_alone():
    assert isinstance(arrays.plain(np.array(1.0)), float)
    npt.assert_array_equal(arrays.plain(np.ones(2)), [1, 1])


def test_traced_models_equal_plain_ones():
    import jax

    jax.config.update("jax_enable_x64", True)
    angles, flats = np.array([59.6, 60.5]), np.array([0.05, 0.15])

    def levels(true_angle, tip_flat):
        found = contacts.section_levels(**SECTION, true_angle=true_angle, tip_flat=tip_flat)
        asked = [found[name] for name in ("wall", "nose", "crest", "backer", "land")]
        return arrays.namespace(asked[0]).stack(asked)

    def filled(width, softness):
        return filling.chances(width, 0.5, softness, step=0.1)

    for model, first, second in ((levels, angles, flats), (filled, flats, flats)):
        plain = np.stack([model(*pair) for pair in zip(first, second, strict=True)])
        npt.assert_allclose(jax.jit(jax.vmap(model))(first, second), plain, rtol=1e-9, atol=1e-12)
