"""
The physics of a V-bit inlay as plain array functions; each file one question.

=============== ==============================================================
``walls``       how wide is the gap between pocket wall and plug wall?
``seating``     where does the plug come to rest, and what holds it up?
``filling``     does a thin stroke fill?
``floors``      what is left free under the nose and the backer?
``grooves``     which angle and tip flat does a bit really have?
``sanding``     how much may be sanded before a stroke is lost?
``levelling``   what is left proud, and would a pass reach the host's face?
``glue``        how much glue fits, how much force do the clamps need?
``moisture``    how far do host and insert move from season to season?
``tram``        what does a leaning spindle do to the fit?
``workload``    how long does it take, how much wood does it use?
=============== ==============================================================

Lengths in mm, included angles in degrees, depth positive into the wood; all
arguments broadcast. ``walls``, ``seating`` and ``filling`` work on NumPy arrays
and, unchanged, inside traced JAX code.
"""
