"""A sheet to draw on with rectangles, lines and words, saved as SVG or PNG.

SVG is written with the standard library. PNG is drawn by Pillow, which brings a font of its own, so that
a picture looks the same on a machine without any.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import Final, NamedTuple
from xml.etree import ElementTree

from assistant.problem import Problem

FONT: Final = "Helvetica, Arial, 'DejaVu Sans', sans-serif"
#: PNG pixels for each unit of the sheet.
SCALE: Final = 2


class Box(NamedTuple):
    """A filled rectangle; ``line`` is the colour of its edge, None for no edge."""

    x: float
    y: float
    width: float
    height: float
    fill: str
    line: str | None = None


class Line(NamedTuple):
    """A straight line."""

    x1: float
    y1: float
    x2: float
    y2: float
    colour: str
    width: float = 1.0


class Words(NamedTuple):
    """A line of text; ``anchor`` is ``start``, ``middle`` or ``end`` of it, ``y`` its baseline."""

    x: float
    y: float
    text: str
    size: float
    colour: str
    anchor: str = "start"
    bold: bool = False


@dataclass(slots=True)
class Sheet:
    """A white sheet of ``width`` by ``height`` units; marks lie over each other in their order."""

    width: float
    height: float
    title: str = ""
    marks: list[Box | Line | Words] = field(default_factory=list)

    def save(self, path: Path) -> None:
        """Write the sheet; the name's ending decides between SVG and PNG. ``Problem`` if that cannot be."""
        ending = path.suffix.casefold()
        if ending not in (".svg", ".png"):
            raise Problem(f'a plot is saved as .svg or .png: "{path.name}" is neither')
        data = self.svg() if ending == ".svg" else self.png()
        try:
            path.write_bytes(data)
        except OSError as error:
            raise Problem(f"{path} cannot be written ({error.strerror or error}): choose another place") from None

    def svg(self) -> bytes:
        """Give the sheet as an SVG 1.1 document."""
        head = {
            "xmlns": "http://www.w3.org/2000/svg", "width": f"{self.width:g}", "height": f"{self.height:g}",
            "viewBox": f"0 0 {self.width:g} {self.height:g}", "font-family": FONT,
        }  # fmt: skip
        root = ElementTree.Element("svg", head)
        ElementTree.SubElement(root, "title").text = self.title
        white = {"width": "100%", "height": "100%", "fill": "#ffffff"}
        ElementTree.SubElement(root, "rect", white)
        for mark in self.marks:
            _element(root, mark)
        return bytes(ElementTree.tostring(root, encoding="utf-8", xml_declaration=True))

    def png(self) -> bytes:
        """Give the sheet as a PNG. ``Problem`` if Pillow is missing."""
        try:
            from PIL import Image, ImageDraw, ImageFont
        except ImportError:
            raise Problem("a PNG needs Pillow (pip install pillow): install it, or save the plot as .svg") from None
        from io import BytesIO

        image = Image.new("RGB", (round(self.width * SCALE), round(self.height * SCALE)), "#ffffff")
        draw = ImageDraw.Draw(image)
        for mark in self.marks:
            if isinstance(mark, Box):
                edges = [mark.x, mark.y, mark.x + mark.width, mark.y + mark.height]
                x1, y1, x2, y2 = (round(v * SCALE) for v in edges)
                draw.rectangle((x1, y1, max(x2 - 1, x1), max(y2 - 1, y1)), mark.fill, mark.line)
            elif isinstance(mark, Line):
                ends = [round(v * SCALE) for v in (mark.x1, mark.y1, mark.x2, mark.y2)]
                draw.line(ends, mark.colour, max(round(mark.width * SCALE), 1))
            else:
                font = ImageFont.load_default(mark.size * SCALE)
                anchor = {"start": "ls", "middle": "ms", "end": "rs"}[mark.anchor]
                where = (mark.x * SCALE, mark.y * SCALE)
                stroke = SCALE * 0.25 if mark.bold else 0
                draw.text(where, mark.text, mark.colour, font, anchor, stroke_width=stroke)
        out = BytesIO()
        image.save(out, "PNG", optimize=True)
        return out.getvalue()


def _element(root: ElementTree.Element, mark: Box | Line | Words) -> None:
    if isinstance(mark, Box):
        at = {"x": mark.x, "y": mark.y, "width": max(mark.width, 0.0), "height": max(mark.height, 0.0)}
        edge = {"stroke": mark.line} if mark.line else {}
        ElementTree.SubElement(root, "rect", {**_numbers(at), "fill": mark.fill, **edge})
    elif isinstance(mark, Line):
        ends = {"x1": mark.x1, "y1": mark.y1, "x2": mark.x2, "y2": mark.y2, "stroke-width": mark.width}
        ElementTree.SubElement(root, "line", {**_numbers(ends), "stroke": mark.colour})
    else:
        at = {"x": mark.x, "y": mark.y, "font-size": mark.size}
        bold = {"font-weight": "bold"} if mark.bold else {}
        words = {**_numbers(at), "fill": mark.colour, "text-anchor": mark.anchor, **bold}
        ElementTree.SubElement(root, "text", words).text = mark.text


def _numbers(values: dict[str, float]) -> dict[str, str]:
    return {key: f"{round(value, 2):g}" for key, value in values.items()}
