"""Samples of how lengths, chances, counts and fields are said; the figures are invented."""

from inlaylab.wording import chances, lengths, names

KNOWN = {"q05": 0.04, "q50": 0.0721, "q95": 0.11}

SAMPLES = {
    chances.chance_that: lambda unit: [chances.chance_that(each, "every line is tight") for each in (0, 0.11, 0.8, 1)],
    chances.percent: lambda unit: [chances.percent(each) for each in (0, 0.004, 0.934, 1)],
    lengths.angle_spread: lambda unit: lengths.angle_spread(KNOWN),
    lengths.spread: lambda unit: lengths.spread(KNOWN, unit),
    lengths.area: lambda unit: lengths.area(6452.0, unit),
    lengths.between: lambda unit: lengths.between(3.3, 3.6, unit),
    lengths.both: lambda unit: lengths.both(4.318, unit),
    lengths.count: lambda unit: [lengths.count(each, "cut") for each in (0, 1, 2)],
    lengths.change: lambda unit: [lengths.change(each, unit) for each in (0.0, 0.002, 0.12)],
    lengths.hollow: lambda unit: lengths.hollow(4.2, unit),
    lengths.fine: lambda unit: lengths.fine(0.0254, unit),
    lengths.length: lambda unit: [lengths.length(each, unit) for each in (4.318, None)],
    lengths.path: lambda unit: lengths.path(2500.0, unit),
    lengths.rough: lambda unit: lengths.rough(132.54, unit),
    lengths.tiny: lambda unit: lengths.tiny(0.0021, unit),
    lengths.volume: lambda unit: lengths.volume(100_000.0, unit),
    names.named: lambda unit: [names.named(each) for each in ("backer_gap", "path_length_m", "wedge_stop")],
}
