"""This module reads our DXF back with ezdxf, which takes no part in writing the strokes.

ezdxf's audit must find nothing to mend, the header must state millimetres and
the page, and the model space must hold polylines on our three layers and
nothing else.
"""

from __future__ import annotations

import io
from typing import TYPE_CHECKING, Any

from ..drawing import Layer
from ..geometry import Path, Point, Vertex
from ..problems import ReadBackError, problem
from .protocol import ReadBack, ReadStroke, WriteOptions

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document

# $INSUNITS and $MEASUREMENT of the drawing-database variable reference.
_MILLIMETRES = 4
_METRIC = 1

# Flag 1 of group code 70 is closed; any other flag is none of ours.
_FLAGS = (0, 1)


def read(data: bytes, options: WriteOptions) -> ReadBack:
    """The page and the strokes of one of our files.  Raises ReadBackError where it is none."""
    from ezdxf.filemanagement import read as read_with_ezdxf

    try:
        document = read_with_ezdxf(io.StringIO(data.decode("ascii")))
        audit = document.audit()
    except Exception as reason:  # ezdxf raises whatever comes along in a broken file
        raise _fault(f"ezdxf says {type(reason).__name__}: {reason}") from None
    # Some faults are mended while they are looked for; they are faults all the same.
    faults = [*audit.errors, *audit.fixes]
    if faults:
        raise _fault(f"ezdxf's audit says: {faults[0].message}")
    width, height = _page(document, data, options)
    strokes = tuple(_stroke(entity, options) for entity in document.modelspace())
    return ReadBack(strokes=strokes, width=width, height=height)


def _fault(reason: str) -> ReadBackError:
    return ReadBackError(problem("read-back-form", reason=reason))


def _page(document: Document, data: bytes, options: WriteOptions) -> tuple[float, float]:
    header = document.header
    if document.acad_release != options.dxf_version:
        raise _fault(f"it is {document.acad_release} in place of {options.dxf_version}")
    if options.dxf_version == "R12":
        if b"\n999\nAll lengths are in millimetres" not in data:
            raise _fault("no comment says that its lengths are millimetres")
    elif (header["$INSUNITS"], header["$MEASUREMENT"]) != (_MILLIMETRES, _METRIC):
        raise _fault("its header does not say millimetres")
    low, high = header["$EXTMIN"], header["$EXTMAX"]
    limits = header["$LIMMIN"], header["$LIMMAX"]
    if tuple(low)[:2] != (0.0, 0.0) or limits != ((0.0, 0.0), tuple(high)[:2]):
        raise _fault("its extents and limits do not give one page from 0, 0")
    return float(high[0]), float(high[1])


def _stroke(entity: Any, options: WriteOptions) -> ReadStroke:
    due = "LWPOLYLINE" if options.dxf_version == "R2000" else "POLYLINE"
    if entity.dxftype() != due:
        raise _fault(f"it holds a {entity.dxftype()}")
    if entity.dxf.layer not in {layer.upper() for layer in Layer}:
        raise _fault(f'it has strokes on layer "{entity.dxf.layer}"')
    if entity.dxf.flags not in _FLAGS:
        raise _fault(f"a polyline has the flags {entity.dxf.flags}")
    if due == "LWPOLYLINE":
        places = entity.get_points("xyb")
        closed = bool(entity.closed)
    else:
        places = [
            (vertex.dxf.location.x, vertex.dxf.location.y, vertex.dxf.bulge)
            for vertex in entity.vertices
        ]
        closed = bool(entity.is_closed)
    vertices = tuple(Vertex(Point(float(x), float(y)), float(bulge)) for x, y, bulge in places)
    return ReadStroke(layer=Layer(entity.dxf.layer.lower()), path=Path(vertices, closed))
