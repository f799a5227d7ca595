"""
Render the finished face of a coupon, from optics: the reference that the reader of pictures is held against.

Geometry is painted several times finer than the picture and averaged over each pixel (the sensor's aperture), blurred
in linear light (lens), given noise, encoded with the sRGB curve (IEC 61966-2-1, constants from memory), sharpened in
code values (camera), and stored. It shares no code with `inlaylab.pictures`. Woods, glues and tables are invented.
"""

import io
from dataclasses import dataclass, field

import cv2
import numpy as np
from PIL import Image
from shapely import Point, Polygon, affinity, box
from shapely.geometry import MultiPolygon

FINE = 6  # painted cells a pixel, in each direction
WOODS = {  # invented: code values, and how strongly the grain shows
    "pale": ((222, 196, 156), 0.05),
    "tan": ((190, 140, 100), 0.06),
    "red": ((150, 70, 45), 0.07),
    "brown": ((105, 76, 57), 0.08),
}


@dataclass
class Scene:
    """What is rendered, and how. Lengths in mm."""

    host: str = "pale"
    insert: str = "brown"
    glue: tuple = (38, 34, 30)
    table: tuple = (60, 70, 80)
    lines: dict = field(default_factory=dict)  # station: mean of its two glue lines
    line: float = 0.04  # where a station is not named
    shrink: float = 0.12
    jitter: float = 0.0
    plug_shift: tuple = (0.0, 0.0)
    fills: dict = field(default_factory=dict)  # station: share of its length that is filled
    wedge_stop: float = 0.4
    per_mm: float = 23.6
    turn: float = 3.0  # degrees
    perspective: float = 0.0  # share by which the far edge is shorter
    mirrored: bool = False
    blur: float = 1.0  # pixels
    sharpening: float = 0.3
    radius: float = 1.5  # pixels
    noise: float = 0.004
    light: float = 0.0  # share by which the light falls off across the picture
    quality: int = 93
    seed: int = 1


@dataclass
class Rendered:
    """A picture and its truth."""

    values: np.ndarray
    truth: dict

    def file(self, kind="JPEG", quality=93):
        """The bytes of a file."""
        stream = io.BytesIO()
        Image.fromarray(self.values).save(stream, kind, **({"quality": quality} if kind == "JPEG" else {}))
        return stream.getvalue()


def to_light(values):
    share = np.asarray(values, np.float32) / 255
    return np.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4).astype(np.float32)


def to_values(light):
    light = np.clip(light, 0, 1)
    return 255 * np.where(light <= 0.0031308, 12.92 * light, 1.055 * np.maximum(light, 1e-9) ** (1 / 2.4) - 0.055)


def _parts(shape):
    if shape.is_empty:
        return []
    return [p for p in (shape.geoms if isinstance(shape, MultiPolygon) else [shape]) if isinstance(p, Polygon)]


def _inset(polygon, by):
    return polygon.buffer(-by, join_style="mitre", mitre_limit=50)


def geometry(layout, scene):
    """Shapes of each material on the finished face, and the truth at each station."""
    rng = np.random.default_rng(scene.seed)
    shift, pockets, plugs, truth = np.array(scene.plug_shift), [], [], {}
    for place in layout.places:
        drawn = Polygon(place.polygon)
        shrink = scene.shrink + (rng.normal(0, scene.jitter) if scene.jitter else 0.0)
        pocket = _inset(drawn, shrink)
        width = scene.lines.get(place.station, scene.line)
        plug = affinity.translate(_inset(pocket, width), *shift)
        corners = np.array(place.polygon)
        if place.kind == "bar":
            flat = np.ptp(corners[:, 0]) > np.ptp(corners[:, 1])
            aside = shift[1] if flat else shift[0]
            share = scene.fills.get(place.station, 1.0)
            left, bottom, right, top = plug.bounds
            if share < 1:
                keep = (
                    box(left, bottom, left + share * (right - left), top)
                    if flat
                    else box(left, bottom, right, bottom + share * (top - bottom))
                )
                plug = plug.intersection(keep) if share > 0 else Polygon()
            state = "filled" if share >= 0.9 else "missing" if share <= 0.1 else "partly"
            truth[place.station] = {
                "glue_line": width,
                "low": max(width + aside, 0.0),
                "high": max(width - aside, 0.0),
                "fill": state,
            }
        else:
            sides = [np.hypot(*(corners[(n + 1) % 3] - corners[(n + 2) % 3])) for n in range(3)]
            point = int(np.argmin(sides))
            tip, base = corners[point], (corners[(point + 1) % 3] + corners[(point + 2) % 3]) / 2
            length, along = np.hypot(*(base - tip)), (base - tip) / np.hypot(*(base - tip))
            lean = np.sqrt(1 + (sides[point] / 2 / length) ** 2)
            far = (scene.wedge_stop + 2 * shrink * lean) / sides[point] * length
            across, start = np.array([-along[1], along[0]]) * 20, tip + along * far
            plug = plug.intersection(
                Polygon([start + across, start - across, start - across + along * 200, start + across + along * 200])
            )
            truth[place.station] = {"wedge_stop": scene.wedge_stop}
        pockets.append(pocket)
        plugs.append(plug)
    for shape in layout.other:
        pocket = _inset(Polygon(shape.exterior, shape.interiors), scene.shrink)
        pockets.append(pocket)
        plugs.append(affinity.translate(_inset(pocket, scene.line), *shift))
    if layout.groove is not None:
        pockets.append(_inset(Polygon(layout.groove.exterior), scene.shrink))
    dots = [Point(d.x, d.y).buffer(d.diameter / 2 - scene.shrink, quad_segs=64) for d in layout.dots]
    marks = [_inset(Polygon(m.exterior, m.interiors), 0.5 * min(scene.shrink, 0.2)) for m in layout.marks]
    board = [box(0, 0, layout.length, layout.width)]
    return {"host": board, "mark": marks, "dot": dots, "glue": pockets, "insert": plugs}, truth


def _map(layout, scene):
    """Drawing [mm] to picture [pixels], and the picture's size."""
    corners = np.array([(0, 0), (layout.length, 0), (layout.length, layout.width), (0, layout.width)], float)
    angle = np.radians(scene.turn)
    turn = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
    middle = corners.mean(axis=0)
    seen = (corners - middle) @ turn.T * scene.per_mm
    if not scene.mirrored:
        seen[:, 1] = -seen[:, 1]
    seen[:, 0] *= 1 - scene.perspective * (seen[:, 1] - seen[:, 1].mean()) / np.ptp(seen[:, 1])
    seen += 6 * scene.per_mm - seen.min(axis=0)
    size = np.ceil(seen.max(axis=0) + 6 * scene.per_mm).astype(int)
    return cv2.getPerspectiveTransform(corners.astype(np.float32), seen.astype(np.float32)), (
        int(size[0]),
        int(size[1]),
    )


def _coverage(shapes, matrix, size):
    """Share of each pixel that shapes cover."""
    fine = np.zeros((size[1] * FINE, size[0] * FINE), np.uint8)
    rim = 0.5 / FINE / np.sqrt(abs(np.linalg.det(matrix[:2, :2])))  # OpenCV paints the cells of the outline as well
    for shape in shapes:
        for polygon in _parts(shape.buffer(-rim, join_style="mitre")):
            rings = []
            for ring in (polygon.exterior, *polygon.interiors):
                points = np.c_[np.array(ring.coords), np.ones(len(ring.coords))] @ matrix.T
                points = (points[:, :2] / points[:, 2:] + 0.5) * FINE - 0.5
                rings.append(np.round(points * 256).astype(np.int32))
            cv2.fillPoly(fine, rings, 255, shift=8)
    return cv2.resize(fine, size, interpolation=cv2.INTER_AREA).astype(np.float32) / 255


def _grain(rng, strength, size, scale):
    """Streaks along x, in mm cells of a quarter, laid over the board."""
    noise = rng.normal(size=(size[1] * scale, size[0] * scale)).astype(np.float32)
    streaks = cv2.GaussianBlur(noise, (0, 0), sigmaX=30, sigmaY=0.6) * 8
    waves = cv2.GaussianBlur(noise, (0, 0), sigmaX=60, sigmaY=12) * 60
    return np.exp(strength * (0.5 * streaks + 0.5 * waves)).astype(np.float32)


def render(layout, scene):
    """Render a scene of a coupon that was cut from a layout."""
    rng = np.random.default_rng(scene.seed + 1000)
    shapes, truth = geometry(layout, scene)
    matrix, size = _map(layout, scene)
    scale = 8
    y, x = np.mgrid[: size[1], : size[0]].astype(np.float32)
    cells = (int(layout.length) + 20, int(layout.width) + 20)
    light = np.broadcast_to(to_light(scene.table), (size[1], size[0], 3)).copy()
    back = np.linalg.inv(matrix)
    w = back[2, 0] * x + back[2, 1] * y + back[2, 2]
    mm_x, mm_y = (back[0, 0] * x + back[0, 1] * y + back[0, 2]) / w, (back[1, 0] * x + back[1, 1] * y + back[1, 2]) / w
    host = to_light(WOODS[scene.host][0])
    tones = {
        "host": host,
        "mark": 0.35 * host,
        "dot": 0.18 * host,
        "glue": to_light(scene.glue),
        "insert": to_light(WOODS[scene.insert][0]),
    }
    for name, drawn in shapes.items():
        cover = _coverage(drawn, matrix, size)[..., None]
        tone = np.broadcast_to(tones[name], light.shape)
        if name in ("host", "insert"):
            grain = _grain(rng, WOODS[getattr(scene, name)][1], cells, scale)
            where = ((mm_x + 10) * scale).astype(np.float32), ((mm_y + 10) * scale).astype(np.float32)
            laid = cv2.remap(grain, *where, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REFLECT)
            tone = tone * laid[..., None]
        light += cover * (tone - light)
    light = cv2.GaussianBlur(light, (0, 0), scene.blur) if scene.blur else light
    light *= (1 - scene.light * (x / size[0] - 0.5))[..., None]
    light += scene.noise * rng.normal(size=light.shape).astype(np.float32) * np.sqrt(np.maximum(light, 0.01))
    values = to_values(light).astype(np.float32)
    if scene.sharpening:
        values += scene.sharpening * (values - cv2.GaussianBlur(values, (0, 0), scene.radius))
    return Rendered(values=np.clip(np.round(values), 0, 255).astype(np.uint8), truth=truth)
