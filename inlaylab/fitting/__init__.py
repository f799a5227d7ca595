"""The statistics: from a shop's records to what its settings are, and what to do next."""
