"""Around the cut: moisture, glue, a leaning spindle, time and wood."""
