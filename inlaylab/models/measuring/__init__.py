"""Lines and curves through measured values, with their uncertainties."""
