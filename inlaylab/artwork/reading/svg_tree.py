"""The tree of an SVG: parsed safely, bounded, and put in order before anything is painted."""

from __future__ import annotations

import re
from collections import Counter
from xml.etree.ElementTree import Element, SubElement

import numpy as np

from inlaylab.artwork.sheets.drawings import NOT_TO_BE_CUT
from inlaylab.errors import DrawingError

MM_PER_PX = 25.4 / 96  # CSS: 96 px to the inch
_SVG = "{http://www.w3.org/2000/svg}"
_UNITS = {"mm": 1.0, "cm": 10.0, "q": 0.25, "in": 25.4, "pt": 25.4 / 72, "pc": 25.4 / 6, "px": MM_PER_PX, "": MM_PER_PX}
_NUMBER = r"[+-]?(?:\d+\.?\d*|\.\d+)(?:e[+-]?\d+)?"
_LENGTH = re.compile(rf"\s*({_NUMBER})\s*([a-z%]*)\s*", re.I)
_WORDS = {
    "d": re.compile(r"[MmZzLlHhVvCcSsQqTtAa0-9eE+\-.,\s]*|none"),
    "points": re.compile(r"[0-9eE+\-.,\s]*"),
    "transform": re.compile(r"\s*(?:(?:matrix|translate|scale|rotate|skewX|skewY)\s*\([^()]*\)[\s,]*)*|none"),
}
_DEEPEST, _MOST_ELEMENTS = 60, 100_000
_LEFT_OUT = {
    "text": "hidden text", "image": "embedded picture", "foreignObject": "foreign content",
    "script": "script", "animate": "animation", "animateTransform": "animation", "set": "animation",
}  # fmt: skip
_NOT_APPLIED = ("clip-path", "mask", "filter", "marker-start", "marker-mid", "marker-end", "stroke-dasharray")
_PAINTED = {"path", "rect", "circle", "ellipse", "line", "polyline", "polygon", "use", "g", "svg"}


def parsed(content: bytes) -> Element:
    """
    Parse an SVG without following anything out of it.

    Parameters
    ----------
    content : bytes
        The file.

    Returns
    -------
    root : Element
        The outermost svg element.
    """
    from defusedxml import DefusedXmlException
    from defusedxml.ElementTree import ParseError, fromstring

    if content[:2] == b"\x1f\x8b":
        raise DrawingError("the SVG is compressed", allowed="plain SVG; unpack it first")
    if content.count(b"<") > 4 * _MOST_ELEMENTS:
        raise DrawingError("the SVG has too many elements", allowed=f"up to {_MOST_ELEMENTS}")
    try:
        root = fromstring(content, forbid_dtd=False, forbid_entities=True, forbid_external=True)
    except DefusedXmlException as fault:
        raise DrawingError("the SVG defines entities or refers to something outside", allowed="plain SVG") from fault
    except (ParseError, ValueError, LookupError) as fault:
        raise DrawingError("this is not well-formed SVG", value=str(fault)) from fault
    if _tag(root) != "svg":
        raise DrawingError("this is not an SVG", value=f"<{_tag(root)}>", allowed="an svg element outermost")
    return root


def _tag(element: Element) -> str:
    return str(element.tag).rpartition("}")[2]


def put_in_order(root: Element, told: Counter[str]) -> None:
    """
    Take out what is not painted, refuse what would grow without end, and note what is left out.

    Parameters
    ----------
    root : Element
        Changed in place.
    told : Counter
        What is to be told, and how often.
    """
    by_name: dict[str, Element] = {}
    by_name["\0root"] = root
    waiting = [(root, 1)]
    for _ in range(_MOST_ELEMENTS + 1):
        if not waiting:
            break
        element, level = waiting.pop()
        if level > _DEEPEST:
            raise DrawingError("the SVG nests too deep", allowed=f"up to {_DEEPEST} levels")
        by_name.setdefault(element.get("id", ""), element)
        for child in list(element):
            tag = _tag(child)
            if tag in _LEFT_OUT or not isinstance(child.tag, str):
                element.remove(child)
                if tag == "text":
                    _refuse_text(child)
                if tag in _LEFT_OUT:
                    told[f"{_LEFT_OUT[tag]}: left out"] += 1
            elif child.get("id") in NOT_TO_BE_CUT:
                element.remove(child)
                told[f"{child.get('id')}: left out, as not to be cut"] += 1
            elif _is_outside(child):
                element.remove(child)
                told["reference to something outside: left out"] += 1
            else:
                waiting.append((child, level + 1))
        _check_words(element)
        if _tag(element) in _PAINTED:
            _note(element, told)
    else:
        raise DrawingError("the SVG has too many elements", allowed=f"up to {_MOST_ELEMENTS}")
    for element in list(root.iter()):
        _plain_view(element, by_name)
    _put_away_symbols(root)
    if _size(root, by_name, {}, ()) > _MOST_ELEMENTS:
        raise DrawingError("the SVG repeats its parts too often", allowed=f"up to {_MOST_ELEMENTS} elements")


def _reference(element: Element) -> str:
    return element.get("href") or element.get("{http://www.w3.org/1999/xlink}href") or ""


def _is_outside(element: Element) -> bool:
    return _tag(element) == "use" and not _reference(element).strip().startswith("#")


def _check_words(element: Element) -> None:
    """Refuse path data and transforms that are none, rather than paint half of them."""
    if _tag(element) == "path" and element.get("d", "none").strip() in ("", "none"):
        element.set("d", "M0 0")  # a path without a line, as of a blank between letters
    for name, allowed in _WORDS.items():
        text = element.get(name)
        if text is not None and not allowed.fullmatch(text):
            raise DrawingError(f"a {name} of the SVG cannot be read", value=text, where=element.get("id"))


def _plain_view(element: Element, by_name: dict[str, Element]) -> None:
    """Write the view box of an inner svg, or of a symbol where it is used, as a transform."""
    target = element
    if _tag(element) == "use":
        target = by_name.get(_reference(element).strip()[1:], element)
    inner = _tag(element) == "svg" and element is not by_name.get("\0root")
    if not inner and (target is element or _tag(target) != "symbol"):
        return
    x, y = (_length(element.get(name), name) or 0.0 for name in ("x", "y"))
    box = _view_box(target)
    size = [_length(element.get(name), name) for name in ("width", "height")]
    moves = f"translate({x / MM_PER_PX:.12g} {y / MM_PER_PX:.12g})"
    if box is not None:
        wide, high = ((value / MM_PER_PX if value else box[2 + i]) for i, value in enumerate(size))
        scales = [wide / box[2], high / box[3]]
        if "none" not in target.get("preserveAspectRatio", ""):
            scales = [min(scales)] * 2
        left, up = (wide - scales[0] * box[2]) / 2, (high - scales[1] * box[3]) / 2
        moves += f" translate({left:.12g} {up:.12g}) scale({scales[0]:.12g} {scales[1]:.12g})"
        moves += f" translate({-box[0]:.12g} {-box[1]:.12g})"
    element.set("transform", f"{element.get('transform', '')} {moves}".strip())
    for name in ("x", "y", "width", "height", "viewBox"):
        element.attrib.pop(name, None)
    if inner:
        element.tag = _SVG + "g"


def _put_away_symbols(root: Element) -> None:
    """Symbols are painted only where they are used: as groups among the definitions."""
    found = [(parent, child) for parent in root.iter() for child in list(parent) if _tag(child) == "symbol"]
    for parent, child in found:
        parent.remove(child)
        child.attrib.pop("viewBox", None)
        child.tag = _SVG + "g"
        SubElement(root, _SVG + "defs").append(child)


def _refuse_text(element: Element) -> None:
    """Refuse words: what they look like is the font's, and leaving them out would answer for another drawing."""
    words = " ".join("".join(element.itertext()).split())
    if words and element.get("display") != "none" and "display:none" not in (element.get("style") or ""):
        raise DrawingError(
            "the SVG holds text: convert the text to outlines first", value=words[:40], allowed="outlines (paths) only"
        )


def _note(element: Element, told: Counter[str]) -> None:
    style = element.get("style", "")
    if element.get("display") == "none" or re.search(r"(?:^|;)\s*display\s*:\s*none", style):
        told["hidden shape: left out"] += 1
    for name in _NOT_APPLIED:
        value = element.get(name) or (re.search(rf"(?:^|;)\s*{name}\s*:\s*([^;]+)", style) or [None, None])[1]
        if value and value.strip() not in ("none", "0"):
            told[f"{name}: not applied"] += 1


def _size(element: Element, by_name: dict[str, Element], known: dict[int, int], above: tuple[int, ...]) -> int:
    """How many elements one becomes when everything it uses is written out."""
    if id(element) in above:
        raise DrawingError("a part of the SVG uses itself", value=element.get("id"))
    if len(above) > 3 * _DEEPEST:
        raise DrawingError("the SVG nests too deep", allowed=f"up to {3 * _DEEPEST} levels")
    if id(element) not in known:
        parts = list(element)
        if _tag(element) == "use" and (target := by_name.get(_reference(element).strip()[1:])) is not None:
            parts.append(target)
        known[id(element)] = 1 + sum(_size(part, by_name, known, (*above, id(element))) for part in parts)
    return known[id(element)]


def sized(root: Element, width: float | None) -> tuple[float, list[str]]:
    """
    Write the sheet's size in px into the root.

    Parameters
    ----------
    root : Element
        Changed in place.
    width : float, optional
        Stated width of the sheet. [mm]

    Returns
    -------
    height : float
        Height of the sheet. [mm]
    mended : list of str
        What is to be told.
    """
    mended: list[str] = []
    box = _view_box(root)
    stated = [_length(root.get(name), name) for name in ("width", "height")]
    if any(value is not None and value <= 0 for value in stated):
        raise DrawingError("the SVG's size is not above zero", value=f"{root.get('width')} x {root.get('height')}")
    if box is not None:
        wide, high = box[2:]
        if width is not None:
            stated = [width, width * high / wide]
            mended.append(f"the sheet was taken as {width:g} mm wide, as stated")
        elif stated[0] is None and stated[1] is not None:
            stated[0] = stated[1] * wide / high
        elif stated[1] is None and stated[0] is not None:
            stated[1] = stated[0] * high / wide
    elif width is not None and stated[0] is not None:
        raise DrawingError("an SVG with a size but without a viewBox cannot be stretched", allowed="no stated width")
    if stated[0] is None or stated[1] is None:
        raise DrawingError("the SVG states no physical size", allowed='width="80mm" and a viewBox, or a stated width')
    if (
        any(re.fullmatch(r"[\s\d.+e-]+(px)?\s*", root.get(name, ""), re.I) for name in ("width", "height"))
        and not width
    ):
        mended.append("the size is in px; 96 px were taken as one inch")
    root.set("width", f"{stated[0] / MM_PER_PX:.12g}")
    root.set("height", f"{stated[1] / MM_PER_PX:.12g}")
    return stated[1], mended


def _view_box(root: Element) -> list[float] | None:
    text = root.get("viewBox")
    if text is None:
        return None
    try:
        numbers = [float(number) for number in text.replace(",", " ").split()]
    except ValueError:
        numbers = []
    if len(numbers) != 4 or not np.isfinite(numbers).all() or min(numbers[2:]) <= 0:
        raise DrawingError("the viewBox is not four numbers with a size above zero", value=text)
    return numbers


def _length(text: str | None, name: str) -> float | None:
    """Length of an attribute in mm; None where it is relative or absent."""
    if text is None or text.strip() in ("", "auto"):
        return None
    match = _LENGTH.fullmatch(text)
    if match is None or (match[2].lower() not in _UNITS and match[2].lower() not in ("%", "em", "ex")):
        raise DrawingError(f"the SVG's {name} is not a length", value=text)
    factor = _UNITS.get(match[2].lower())
    return None if factor is None else float(match[1]) * factor
