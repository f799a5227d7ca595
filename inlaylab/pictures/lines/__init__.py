"""From profiles to widths of glue lines: light, noise, one joint fit, and the mix over tones of the line."""
