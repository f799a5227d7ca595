"""What panels and commands both need and neither owns: a log with its fit, a planned artwork, long work."""
