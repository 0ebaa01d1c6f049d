"""This module writes a page of patterns as HTML: their words, measures and pictures.

Plain HTML with a little CSS within it: no scripts, and nothing but the pictures beside
it is fetched.  The pictures are files of their own, named by whoever writes them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

from ..design.model import Scale
from ..design.pattern import Parameter, Pattern
from ..design.ranges import Range
from ..measures import Kind, Number, Unit, exact_text, parse
from ..patterns.reckoned import Reckoned

_START = (
    "<!DOCTYPE html>\n<!-- Written by Foldwright: a page of patterns; "
    "writing it again replaces this file. -->\n"
)

_STAYS = "not at all"

_SCALES = {
    Scale.WITH: "with the card",
    Scale.FIXED: _STAYS,
    Scale.RULER: "with the card, on the ruler",
}

_HEADS = ("measure", "metric", "inch", "least", "most", "step", "scaled")

# A fold is what divides two patterns: the dash-dot-dot of a mountain, the dashes of a valley.
_STYLE = """\
:root { color-scheme: light; }
body { margin: 0 auto; max-width: 62rem; padding: 1.5rem 1.25rem 4rem; background: #fff;
  color: #111; font: 1rem/1.5 sans-serif; }
h1 { font-size: 2rem; line-height: 1.2; margin: 1rem 0; }
h2 { font-size: 1.5rem; line-height: 1.2; margin: 0 0 .75rem; }
p, dd { max-width: 44rem; }
a { color: inherit; text-decoration-thickness: .08em; text-underline-offset: .18em; }
a:focus-visible { outline: 3px solid #a0457a; outline-offset: 2px; }
nav ul { list-style: none; margin: 1.5rem 0 2.5rem; padding: 0; columns: 18rem; }
nav li { break-inside: avoid; padding-bottom: .6rem; }
nav a { font-weight: bold; }
nav span { display: block; font-size: .875rem; }
section { border-top: 3px dashed #a0457a; margin-top: 3rem; padding-top: 1.5rem; }
dl { margin: 1rem 0; }
dt { font-weight: bold; }
dd { margin: 0 0 .6rem; }
.wide { overflow-x: auto; margin: 1.25rem 0; }
table { border-collapse: collapse; width: 100%; font-size: .875rem; line-height: 1.35; }
caption { text-align: left; font-weight: bold; font-size: 1rem; padding-bottom: .4rem; }
th, td { text-align: left; vertical-align: top; padding: .35rem .9rem .35rem 0;
  border-bottom: 1px solid #949494; }
thead th { border-bottom: 2px solid #111; }
th small { font-weight: normal; }
td small { color: #555; }
th small, td small { display: block; font-size: inherit; }
tbody th { min-width: 10rem; }
code { font-family: monospace; }
figure { margin: 1.75rem 0 0; }
figure img { display: block; max-width: 100%; height: auto; border: 1px solid #949494; }
figcaption { font-weight: bold; padding-bottom: .35rem; }
@media print {
  body { max-width: none; padding: 0; font-size: 10pt; }
  section { break-before: page; border-top: 0; margin-top: 0; padding-top: 0; }
  table { font-size: 8pt; }
  h2, figcaption, thead { break-after: avoid; }
  figure, tr { break-inside: avoid; }
  figure img { max-height: 22cm; border: 0; }
  nav a { text-decoration: none; }
}
"""


@dataclass(frozen=True, kw_only=True, slots=True)
class PageFigure:
    """A picture on the page: its file beside the page, its caption, and what it shows in words."""

    file: str
    caption: str
    words: str


@dataclass(frozen=True, kw_only=True, slots=True)
class PageEntry:
    """What the page says of one pattern.

    `anchor` is what a link to it ends in, `metric` and `inch` are its two editions,
    `verdict` is what its proof came to, in one line.
    """

    pattern: Pattern
    anchor: str
    metric: Reckoned
    inch: Reckoned
    verdict: str
    figures: tuple[PageFigure, ...]


def pattern_page(entries: Sequence[PageEntry], left_out: Sequence[str] = ()) -> bytes:
    """The page, UTF-8: a list of all patterns with links, then each with its pictures.

    `left_out` says, a sentence without a full stop each, what is installed and cannot be shown.
    """
    lines = [
        f'{_START}<html lang="en">\n<head>\n<meta charset="utf-8">',
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        f"<title>Patterns of Foldwright</title>\n<style>\n{_STYLE}</style>\n</head>\n<body>",
        "<header>\n<h1>Patterns</h1>",
        f"<p>{_counted(len(entries))} that a design can start from:"
        " <code>foldwright new NAME --to card.toml</code> writes the design file, and every"
        " measure in it can be changed within its limits.  Whatever is set there, the proof"
        " decides whether it folds.</p>",
    ]
    lines += [f"<p>{_text(one[:1].upper() + one[1:])}.</p>" for one in left_out]
    lines.append('</header>\n<nav aria-label="All patterns">\n<ul>')
    lines += [
        f'<li><a href="#{_text(one.anchor)}">{_text(one.pattern.name)}</a>'
        f"<span>{_text(_first_sentence(one.pattern.about))}</span></li>"
        for one in entries
    ]
    lines.append("</ul>\n</nav>\n<main>")
    lines += [_section(one) for one in entries]
    lines.append("</main>\n</body>\n</html>\n")
    return "\n".join(lines).encode()


def carries_our_mark(head: bytes) -> bool:
    """Whether a file opens as a page of ours does, with either kind of line ends."""
    return head.replace(b"\r\n", b"\n").startswith(_START.encode())


def _counted(count: int) -> str:
    return f"{count} pattern" if count == 1 else f"{count} patterns"


def _section(entry: PageEntry) -> str:
    pattern = entry.pattern
    name, anchor = _text(pattern.name), _text(entry.anchor)
    rows = [
        _row(*found)
        for found in zip(pattern.parameters, entry.metric.ranges, entry.inch.ranges, strict=True)
    ]
    heads = "".join(f'<th scope="col">{head}</th>' for head in _HEADS)
    width, height = entry.metric.closed_written
    made_of = ", ".join(f"{stock}: {material}" for stock, material in pattern.materials.items())
    return "\n".join(
        [
            f'<section id="{anchor}" aria-labelledby="{anchor}-head">',
            f'<h2 id="{anchor}-head">{name}</h2>',
            f"<p>{_text(pattern.about)}</p>",
            "<dl>",
            f"<dt>Closure condition</dt><dd>{_text(pattern.closure)}</dd>",
            f"<dt>Closed size</dt><dd>{_size(entry.metric)}; in the inch edition"
            f" {_size(entry.inch)}.<br>Width: <code>{_text(width)}</code>; height:"
            f" <code>{_text(height)}</code>.</dd>",
            f"<dt>Starts with</dt><dd>{_text(made_of)}</dd>",
            f"<dt>Proof of the metric edition</dt><dd>{_text(entry.verdict)}</dd>",
            "</dl>",
            '<div class="wide" role="region" tabindex="0"'
            f' aria-label="Measures of {name}">\n<table>\n<caption>Measures</caption>',
            f"<thead><tr>{heads}</tr></thead>\n<tbody>",
            *rows,
            "</tbody>\n</table>\n</div>",
            *(_figure(one) for one in entry.figures),
            "</section>",
        ]
    )


def _row(parameter: Parameter, metric: Range, inch: Range) -> str:
    cells = [
        _value(parameter, parameter.default(Unit.MM), metric.value.value, Unit.MM),
        _value(parameter, parameter.default(Unit.IN), inch.value.value, Unit.IN),
        _limit(parameter, parameter.least, metric.least, inch.least),
        _limit(parameter, parameter.most, metric.most, inch.most),
        _step(parameter),
        _SCALES[parameter.scale] if parameter.kind is Kind.LENGTH else _STAYS,
    ]
    row = "".join(f"<td>{cell}</td>" for cell in cells)
    name, meaning = _text(parameter.name), _text(parameter.meaning)
    return f'<tr><th scope="row"><code>{name}</code> <small>{meaning}</small></th>{row}</tr>'


def _value(parameter: Parameter, written: str, value: Number, units: Unit) -> str:
    """A default: what it comes to, and what it is reckoned from if it is."""
    told = _text(_told(parameter.kind, value, units))
    if _is_plain(written):
        return told
    return f"{told} <small><code>{_text(written)}</code></small>"


def _limit(
    parameter: Parameter, written: str | None, metric: Number | None, inch: Number | None
) -> str:
    """A limit as the pattern writes it, and what it comes to in both editions if it is reckoned."""
    if written is None:
        return "none"
    if parameter.kind is not Kind.LENGTH:
        if _is_plain(written) and metric is not None:
            return _text(_told(parameter.kind, metric, Unit.MM))
        return f"<code>{_text(written)}</code>"
    if _is_plain(written):
        return _text(_together(written))
    told = [
        _told(parameter.kind, value, units)
        for value, units in ((metric, Unit.MM), (inch, Unit.IN))
        if value is not None
    ]
    return f"<code>{_text(written)}</code> <small>here {_text(', '.join(told))}</small>"


def _together(length: str) -> str:
    """A length that stays in one line: "5 3/4 in"."""
    return length.replace(" ", "\N{NO-BREAK SPACE}")


def _is_plain(written: str) -> bool:
    """Whether a number stands there, with a unit or without, and no other measure is named."""
    return not parse(written).names


def _step(parameter: Parameter) -> str:
    steps = [parameter.step(units) for units in Unit]
    if parameter.kind is Kind.NUMBER:
        return _text(steps[0] or "1")
    told = dict.fromkeys(_together(step) for step in steps if step is not None)
    return _text(", ".join(told) or "any")


def _told(kind: Kind, value: Number, units: Unit) -> str:
    if kind is Kind.LENGTH:
        return _together(exact_text(value, units))
    plain = f"{float(value):.6g}"
    return f"{plain} degrees" if kind is Kind.ANGLE else plain


def _size(of: Reckoned) -> str:
    width, height = (_told(Kind.LENGTH, side, of.units) for side in of.closed)
    return _text(f"{width} by {height}")


def _first_sentence(text: str) -> str:
    first, dot, _ = text.partition(". ")
    return f"{first}." if dot else text


def _figure(figure: PageFigure) -> str:
    file = _text(figure.file)
    return (
        f"<figure>\n<figcaption>{_text(figure.caption)}</figcaption>\n"
        f'<a href="{file}"><img src="{file}" alt="{_text(figure.words)}"></a>\n'
        "</figure>"
    )


def _text(text: str) -> str:
    return escape(text)
