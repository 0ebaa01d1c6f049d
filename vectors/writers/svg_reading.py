"""This module reads our SVG back: its frame with the standard library, its paths with svgelements.

svgelements takes no part in writing, so a fault of the writer shows.  Whatever
a cutter might stumble over is refused: elements, attributes and groups that are
none of ours.
"""

from __future__ import annotations

import math
import re
from fractions import Fraction
from io import BytesIO
from typing import TYPE_CHECKING
from xml.etree import ElementTree

from ..drawing import Layer, Work
from ..geometry import Path, Point, Vertex
from ..problems import ReadBackError, problem
from .protocol import ReadBack, ReadStroke, WriteOptions

if TYPE_CHECKING:
    import svgelements

_NAMESPACE = "{http://www.w3.org/2000/svg}"
_PEN = {"fill", "stroke", "stroke-width", "d"}
_NUMBER = r"\d+(?:\.\d+)?"
_PAGE = re.compile(rf"0 0 ({_NUMBER}) ({_NUMBER})")
_SIDE = re.compile(rf"({_NUMBER})mm")


def read(data: bytes, options: WriteOptions) -> ReadBack:
    """The page and the strokes of one of our files.  Raises ReadBackError where it is none."""
    import svgelements

    try:
        tree = ElementTree.fromstring(data)
    except ElementTree.ParseError as reason:
        raise _fault(f"it is not XML ({reason})") from None
    width, height, scale = _page(tree, options)
    groups = _groups(tree)
    # With bare numbers for its size svgelements applies no factor of its own,
    # whose inch has too few digits; the true factor was checked just now.
    user = tree.attrib["viewBox"].split()
    tree.set("width", user[2])
    tree.set("height", user[3])
    try:
        drawing = svgelements.SVG.parse(BytesIO(ElementTree.tostring(tree)), ppi=25.4, reify=False)
        found = [path for path in drawing.elements() if isinstance(path, svgelements.Path)]
        strokes = tuple(
            ReadStroke(layer=layer, work=work, path=_path(path, scale, height))
            for (layer, work), path in zip(groups, found, strict=True)
        )
    except ReadBackError:
        raise
    except Exception as reason:  # svgelements raises whatever comes along
        raise _fault(f"svgelements says {type(reason).__name__}: {reason}") from None
    return ReadBack(strokes=strokes, width=width, height=height)


def _fault(reason: str) -> ReadBackError:
    return ReadBackError(problem("read-back-form", reason=reason))


def _page(tree: ElementTree.Element, options: WriteOptions) -> tuple[float, float, float]:
    # The page in mm and the mm in a user unit.
    box = _PAGE.fullmatch(tree.get("viewBox", ""))
    sides = [_SIDE.fullmatch(tree.get(key, "")) for key in ("width", "height")]
    if tree.tag != f"{_NAMESPACE}svg" or box is None or sides[0] is None or sides[1] is None:
        raise _fault("it has no size in mm with a viewBox from 0 0")
    millimetres = [Fraction(side[1]) for side in sides if side is not None]
    user = [Fraction(box[1]), Fraction(box[2])]
    due = Fraction(1) if options.user_unit == "mm" else Fraction(254, 960)
    if not all(user) or any(mm != due * u for mm, u in zip(millimetres, user, strict=True)):
        raise _fault(f"one user unit is not {float(due):.6g} mm in both directions")
    return float(millimetres[0]), float(millimetres[1]), float(due)


def _groups(tree: ElementTree.Element) -> list[tuple[Layer, Work | None]]:
    # Layer and work of every path, in the order of the file.
    found: list[tuple[Layer, Work | None]] = []
    top = [child for child in tree if child.tag not in (f"{_NAMESPACE}title", f"{_NAMESPACE}desc")]
    if [child.get("id") for child in top] != [layer.value for layer in Layer]:
        raise _fault("its groups are not mark, score and cut")
    for layer, group in zip(Layer, top, strict=True):
        _only(group, "g", {"id"})
        for child in group:
            if child.tag != f"{_NAMESPACE}g":
                _only(child, "path", _PEN)
                found.append((layer, None))
                continue
            _only(child, "g", {"id"})
            name = child.get("id", "").removeprefix(f"{layer}-")
            if name not in {work.value for work in Work}:
                raise _fault(f'group "{name}" is no kind of work')
            for path in child:
                _only(path, "path", _PEN)
                found.append((layer, Work(name)))
    return found


def _only(element: ElementTree.Element, tag: str, attributes: set[str]) -> None:
    if element.tag != _NAMESPACE + tag or set(element.attrib) != attributes:
        raise _fault(f"it holds an element that is none of ours: {element.tag}")
    if tag == "path" and (
        element.get("fill") != "none"
        or float(element.get("stroke-width", "0")) <= 0.0
        or len(element)
    ):
        raise _fault("a path is filled or has no stroke width")


def _path(path: svgelements.Path, scale: float, top: float) -> Path:
    import svgelements

    def place(at: svgelements.Point) -> Point:
        return Point(float(at.x) * scale, top - float(at.y) * scale)

    first, *steps = path
    if not isinstance(first, svgelements.Move):
        raise _fault("a path does not start with a move")
    closed = bool(steps) and isinstance(steps[-1], svgelements.Close)
    vertices: list[Vertex] = []
    here = place(first.end)
    for step in steps:
        if isinstance(step, svgelements.Arc):
            # The sweep of the file runs the other way round, y being turned over.
            bulge = -math.tan(float(step.sweep) / 4.0)
        elif isinstance(step, (svgelements.Line, svgelements.Close)):
            bulge = 0.0
        else:
            raise _fault(f"a path holds a {type(step).__name__}")
        if isinstance(step, svgelements.Close) and step is not steps[-1]:
            raise _fault("a path goes on after its end")
        vertices.append(Vertex(here, bulge))
        here = place(step.end)
    if not closed:
        vertices.append(Vertex(here))
    elif len(steps) > 1 and steps[-1].length() == 0.0:
        # An arc that ends a closed path has to be written to its very end, so
        # the closing line after it is none.
        vertices.pop()
    return Path(tuple(vertices), closed)
