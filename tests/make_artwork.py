"""
Make the drawings in data/artwork: invented for this project, in the formats a maker may bring.

Run it from the top of the tree: ``python tests/make_artwork.py``. The lettering is traced from DejaVu Sans, the font
that matplotlib carries (Bitstream Vera licence: outlines may be used in documents and drawings).
"""

from pathlib import Path

import numpy as np

FOLDER = Path(__file__).resolve().parent.parent / "data" / "artwork"
SVG = '<svg xmlns="http://www.w3.org/2000/svg" width="{w}mm" height="{h}mm" viewBox="0 0 {w} {h}">\n{body}\n</svg>\n'


def ornament():
    """A round ornament of 50 mm: a ring, eight petals with veins, dots and a star."""
    petal = "M0 -4 C 4.2 -8 4.2 -14 0 -18.5 C -4.2 -14 -4.2 -8 0 -4 Z M0 -6.5 L 0.45 -12 L 0 -16 L -0.45 -12 Z"
    parts = ['  <g transform="translate(25 25)" fill="#000000">']
    parts.append('    <circle r="23.5" fill="none" stroke="#000000" stroke-width="1.4"/>')
    parts += [f'    <path fill-rule="evenodd" transform="rotate({45 * k})" d="{petal}"/>' for k in range(8)]
    parts += [f'    <circle transform="rotate({45 * k + 22.5})" cy="-18" r="1.1"/>' for k in range(8)]
    star = " ".join(
        f"{r * np.sin(a):.4f},{-r * np.cos(a):.4f}"
        for r, a in zip([3.2, 1.4] * 8, np.arange(16) * np.pi / 8, strict=True)
    )
    parts += [f'    <polygon points="{star}"/>', "  </g>"]
    return SVG.format(w=50, h=50, body="\n".join(parts))


def lettering():
    """A word for a drawer front, 12 mm high letters."""
    from matplotlib.font_manager import FontProperties
    from matplotlib.path import Path as Outline
    from matplotlib.textpath import TextPath

    path = TextPath((0, 0), "Rye & Oak", size=16, prop=FontProperties(family="DejaVu Sans"))
    words, left, top = [], 3.0, 17.0
    letters = {Outline.MOVETO: "M", Outline.LINETO: "L", Outline.CURVE3: "Q", Outline.CURVE4: "C"}
    for points, code in path.iter_segments(curves=True, simplify=False):
        if code == Outline.CLOSEPOLY:
            words.append("Z")
            continue
        pairs = np.reshape(points, (-1, 2)) * [1, -1] + [left, top]
        words.append(letters[code] + " ".join(f"{x:.4f} {y:.4f}" for x, y in pairs))
    width = float(np.ceil(path.get_extents().x1 + 2 * left))
    return SVG.format(w=f"{width:g}", h=24, body=f'  <path d="{" ".join(words)}"/>')


def comb():
    """Bars of graded width with graded gaps, as well-known text."""
    widths, gaps = [0.5, 0.8, 1.2, 1.8, 2.6, 4.0, 6.0], [1.0, 1.2, 1.6, 2.2, 3.0, 4.0]
    lefts = np.concatenate([[0], np.cumsum(np.add(widths[:-1], gaps))])
    bars = [
        f"(({x:g} 0, {x + w:g} 0, {x + w:g} 20, {x:g} 20, {x:g} 0))"
        for x, w in zip(np.round(lefts, 3), widths, strict=True)
    ]
    return f"MULTIPOLYGON ({', '.join(bars)})\n"


def leaf(path):
    """A leaf with veins left standing, as DXF: a closed spline, wedges of straight lines in nested blocks."""
    import ezdxf
    from ezdxf import units

    document = ezdxf.new("R2010", units=units.MM)
    space = document.modelspace()
    edge = [(0, 0), (9, 6), (20, 9.5), (33, 8), (45, 0), (33, -8), (20, -9.5), (9, -6), (0, 0)]
    space.add_spline(fit_points=edge)
    vein = document.blocks.new("vein")
    vein.add_lwpolyline([(0, 0.5), (8.5, 0.15), (8.5, -0.15), (0, -0.5)], close=True)
    pair = document.blocks.new("pair")
    pair.add_blockref("vein", (0, 1.0), dxfattribs={"rotation": 35})
    pair.add_blockref("vein", (0, -1.0), dxfattribs={"rotation": -35})
    for x, size in ((9, 0.7), (16, 0.9), (23, 0.85), (30, 0.6)):
        space.add_blockref("pair", (x, 0), dxfattribs={"xscale": size, "yscale": size})
    document.saveas(path)


if __name__ == "__main__":
    FOLDER.mkdir(parents=True, exist_ok=True)
    for name, text in {"ornament.svg": ornament(), "lettering.svg": lettering(), "comb.wkt": comb()}.items():
        (FOLDER / name).write_text(text, encoding="utf-8")
    leaf(FOLDER / "leaf.dxf")
