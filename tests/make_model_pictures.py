"""
Draws the figures of inlaylab/models/README.md into data/pictures: ``python tests/make_model_pictures.py``.

Every number in them comes from `inlaylab.models`; the bit and depths are invented.
"""

from pathlib import Path

import numpy as np

from inlaylab.figures.section import section
from inlaylab.figures.style import BLUE, INK, new_axes
from inlaylab.models.seating import seat
from inlaylab.models.walls import half_tangent
from inlaylab.services.by_hand.section import Section

FOLDER = Path(__file__).resolve().parent.parent / "data" / "pictures"
CUT = {"pocket_depth": 4.4, "relief_depth": 1.8, "path_angle": 60.0, "tip_flat": 0.10}


def draw_section():
    """A thin and a wide stroke, the plug held up by its walls, every part named."""
    strokes, land = (1.4, 7.0), 5.0
    cut = {**CUT, "start_depth": 3.6, "true_angle": 60.0, "crest_loss": 0.3}
    rest = seat(stroke_half_width=np.array(strokes) / 2, land_half_width=land / 2, **cut)
    picture = section(Section(stroke_widths=strokes, land_width=land, seat=rest, **cut), words=True)
    picture.figure.savefig(FOLDER / "model_section.png", dpi=110)


def draw_bend():
    """Worst glue line against start depth: flat while the walls hold the plug, then rising with the slope T."""
    depths = np.linspace(3.4, 4.6, 241)
    ax = new_axes(width=6.4, height=3.0, margins=(0.75, 0.6, 0.2, 0.35))
    for flat, style, lift in ((0.05, "-", 0.10), (0.10, "--", 0.05)):
        rest = seat(
            start_depth=depths[:, None],
            stroke_half_width=np.array([3.0, 4.0]),
            land_half_width=9.0,
            true_angle=60.0,
            **{**CUT, "tip_flat": flat},
        )
        worst = rest.glue_line.max(axis=-1)
        bend = CUT["pocket_depth"] - flat / half_tangent(60.0)
        ax.plot(depths, worst, style, color=BLUE, linewidth=2, label=f"tip flat {flat:.2f} mm")
        ax.plot([bend], [0.0], "D", color=INK, markersize=7)
        ax.annotate(f"bend {bend:.2f} mm", (bend, 0.0), (bend - 0.25, lift), fontsize=9, arrowprops={"arrowstyle": "-"})
    ax.set_xlabel("start depth [mm]")
    ax.set_ylabel("worst glue line [mm]")
    ax.set_title("Pocket 4.40 mm deep, 60-degree bit")
    ax.legend(loc="upper left", frameon=False)
    ax.figure.savefig(FOLDER / "model_bend.png", dpi=110)


def draw_angle():
    """Glue line against stroke width for a bit that cuts half a degree wider or narrower than its path."""
    widths = np.linspace(0.6, 8.0, 200)
    ax = new_axes(width=6.4, height=3.0, margins=(0.75, 0.6, 0.2, 0.35))
    for true, style in ((59.5, "--"), (60.0, "-"), (60.5, "-.")):
        rest = seat(
            start_depth=3.2, stroke_half_width=widths / 2, land_half_width=9.0, true_angle=true, crest_loss=1.0, **CUT
        )
        ax.plot(widths, rest.glue_line, style, color=BLUE, linewidth=2, label=f"true angle {true:.1f} degrees")
    ax.set_xlabel("stroke width [mm]")
    ax.set_ylabel("glue line [mm]")
    ax.set_title("Strokes of one plug, path computed for 60 degrees")
    ax.legend(loc="center right", frameon=False)
    ax.figure.savefig(FOLDER / "model_angle.png", dpi=110)


if __name__ == "__main__":
    draw_section()
    draw_bend()
    draw_angle()
