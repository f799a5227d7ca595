"""What every panel is built from."""
