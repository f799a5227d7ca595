"""Results in, pictures out: no calculation."""
