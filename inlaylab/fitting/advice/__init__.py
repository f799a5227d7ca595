"""Advice: the start depth to use, the settings that can be turned, and warnings."""
