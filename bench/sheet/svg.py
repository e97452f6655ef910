"""A drawing as SVG that looks the same whatever fonts there are.

Type is drawn as outlines. The words lie over them unseen, so that they can be searched, copied and read aloud.
"""

from __future__ import annotations

from collections.abc import Iterable
from xml.etree import ElementTree

from reportlab.graphics import renderSVG
from reportlab.graphics.shapes import Drawing

from bench.sheet.drawing import width_of
from bench.sheet.outlines import Glyph, glyph
from bench.sheet.typeface import is_bold

_SVG, _LINK = "http://www.w3.org/2000/svg", "http://www.w3.org/1999/xlink"


def svg_text(drawing: Drawing) -> str:
    """A drawing as SVG, with fill and line ends in SVG syntax and every line of type as outlines."""
    drawn = str(renderSVG.drawToString(drawing)).replace("fill: None", "fill: none")
    drawn = drawn.replace("stroke-linecap: round", "stroke-linecap: butt")
    ElementTree.register_namespace("", _SVG)
    ElementTree.register_namespace("xlink", _LINK)
    root = ElementTree.fromstring(drawn.encode())
    used: dict[str, Glyph] = {}
    for parent in list(root.iter(f"{{{_SVG}}}g")):
        for at, element in reversed(list(enumerate(parent))):
            if element.tag == f"{{{_SVG}}}text":
                parent.insert(at, _outlined(element, used))
    root.insert(0, _definitions(used.values()))
    return ElementTree.tostring(root, encoding="unicode")


def _outlined(text: ElementTree.Element, used: dict[str, Glyph]) -> ElementTree.Element:
    """A line of type as outlines, which are added to `used`. The text itself is made invisible, as wide as they are."""
    name, size = (_styled(text, key) for key in ("font-family", "font-size"))
    bold, points, said = is_bold(name), float(size.removesuffix("px")), (text.text or "").strip()
    scale = points / 1000
    place = f"translate({text.get('x')},{text.get('y')}) scale({scale:.5f},{-scale:.5f})"
    line = ElementTree.Element(f"{{{_SVG}}}g", {"transform": f"{text.get('transform')} {place}"})
    x = 0
    for letter in said:
        drawn = glyph(letter, bold)
        if drawn.outline:
            used[drawn.name] = drawn
            ElementTree.SubElement(
                line, f"{{{_SVG}}}use", {f"{{{_LINK}}}href": f"#{drawn.name}", "x": str(x)}
            )
        x += drawn.advance
    text.set("style", f"font-size: {size}; opacity: 0")
    text.set("lengthAdjust", "spacingAndGlyphs")
    text.set("textLength", f"{width_of(said, points, bold):.2f}")
    return line


def _definitions(used: Iterable[Glyph]) -> ElementTree.Element:
    group = ElementTree.Element(f"{{{_SVG}}}defs")
    for one in used:
        ElementTree.SubElement(group, f"{{{_SVG}}}path", {"id": one.name, "d": one.outline})
    return group


def _styled(element: ElementTree.Element, key: str) -> str:
    """A value of the element's style."""
    return element.get("style", "").split(f"{key}: ")[1].split(";")[0]
