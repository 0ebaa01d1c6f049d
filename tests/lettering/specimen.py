"""This module makes the specimen sheet: every sign large, and sentences at 3 mm."""

from __future__ import annotations

from foldwright.drawing import Drawing, Layer, Role, Stroke, Work
from foldwright.geometry import point
from foldwright.lettering import glyph_of, set_text
from foldwright.lettering.glyphs import glyphs

SENTENCES = (
    "THE QUICK BROWN FOX JUMPS OVER THE LAZY DOG",
    "The quick brown fox jumps over the lazy dog.",
    "0123456789  1 l I | !  0 O Q D  5 S  2 Z  8 B  6 b  9 g q  rn m  cl d  vv w",
    '(A) [B] {C} <D>  50% #7 & Co.  a@b.c  3 × 4 = 12 ± ½  148 × 210 mm  5 ⅝"',
    "Größe, façade, Noël, Łódź, Žluťoučký kůň, Ørsted, Ģirts, țară, œuvre, þat",
    "mat A → back; glue here ↓  ¿Qué?  “quoted” ‘it’ don't – so — then… «là» §4 €5",
)

SIGNS = (
    *glyphs(),
    *(chr(n) for n in range(0xC0, 0x180) if chr(n) not in glyphs() and glyph_of(chr(n))),
)

_ACROSS = 20
_LARGE = 7
_WIDTH, _STEP = 210.0, 10


def specimen() -> Drawing:
    """The sheet, from the top: signs one by one, sentences, and the box for a sign that lacks."""
    rows = [
        (sign, 5 + _STEP * (i % _ACROSS), -2 * _LARGE * (i // _ACROSS), _LARGE)
        for i, sign in enumerate(SIGNS)
    ]
    below = rows[-1][2]
    rows += [(text, 5, below - 12 - 7 * i, 3) for i, text in enumerate((*SENTENCES, "lacks: 折"))]
    height = 20 - rows[-1][2]
    strokes = [
        Stroke(
            path=path.rounded(),
            layer=Layer.MARK,
            work=Work.DRAWN,
            piece="specimen",
            source=text,
            role=Role.MARK,
        )
        for text, x, y, size in rows
        for path in set_text(text, at=point(x, height - 14 + y), height=size).strokes
    ]
    return Drawing(
        piece="specimen",
        title="Specimen of the alphabet",
        width=_WIDTH,
        height=float(height),
        strokes=tuple(strokes),
    )
