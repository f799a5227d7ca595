"""The posterior's density, its gradient and the chains, compiled: repeats `inlaylab.fitting.model`, for speed alone."""
