"""
What stands on the pictures, and the alternative text of each.

`answers`: what a fit answers; `log`: what a log knows; `sections`: boards cut open; `artwork`: a drawing and its
strokes; `coupons` and `bits`: test pieces and what cuts them; `around`: seasons, levelling, sanding, tram, glue. The
alternative text of the picture ``section`` is `sections.section_alt`, and so on.
"""
