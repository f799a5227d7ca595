"""The physics of a tapered inlay as plain array functions, one question a file."""
