"""What holds of every picture in black and grey that is written as plain SVG."""

from __future__ import annotations

import re
from itertools import combinations
from xml.etree import ElementTree

from foldwright.pictures import Picture, Words, carries_our_mark, svg_of
from foldwright.pictures.boxes import box_of_part

SVG = "{http://www.w3.org/2000/svg}"


def hold_plain(picture: Picture) -> bytes:
    """Plain shapes, greys only, nothing off the page, no words over each other; the bytes."""
    data = svg_of(picture)
    assert carries_our_mark(data)
    top = ElementTree.fromstring(data)
    # Plain: shapes and words and nothing that a program may not know.
    assert {one.tag for one in top.iter()} == {
        f"{SVG}{tag}" for tag in ("svg", "title", "desc", "rect", "path", "text")
    }
    assert not re.search(rb"clip|style|transform|<use|url\(|nan|inf", data)
    for colour in re.findall(rb'(?:stroke|fill)="#(\w{6})"', data):
        assert colour[:2] == colour[2:4] == colour[4:], "black, white and greys only"
    hold_on_the_page(picture)
    return data


def hold_on_the_page(picture: Picture) -> None:
    """Nothing lies off the page, and no words over each other."""
    for part in picture.parts:
        left, bottom, right, high = box_of_part(part)
        assert min(left, bottom) >= 0.0, part
        assert right <= picture.width, part
        assert high <= picture.height, part
    boxes = [box_of_part(part) for part in picture.parts if isinstance(part, Words)]
    for a, b in combinations(boxes, 2):
        assert a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] + 0.9 or b[3] <= a[1] + 0.9
