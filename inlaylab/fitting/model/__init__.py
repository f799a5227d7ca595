"""The statistical model: starting beliefs, the readings as arrays, and how likely they are."""
