"""What notebook 4 says around its answer."""

from __future__ import annotations

WITHIN_HINT = "0.1 mm or 4 thou"
SHALLOWEST_HINT = "blank: well above the pocket depth"
ANGLE_HINT = "blank: the bit's nominal angle"
SPACING_HINT = "blank: cleared with an end mill"
MORE = "more about the question"
TRY = "Try your own settings"
TRY_HINT = "Where the plug would come to rest with exactly these values: exact, no uncertainty."

TYPED = "stroke widths typed below"
