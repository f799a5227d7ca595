"""The sentences that the kit says."""
