"""What is written reads back as the same design, whatever is in it."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from foldwright.design import (
    ArcDraft,
    BandDraft,
    CircleDraft,
    CurveDraft,
    Design,
    EllipseDraft,
    EnvelopeDraft,
    ExtraDraft,
    FoldDraft,
    JointDraft,
    JointEndDraft,
    LimitsDraft,
    LShape,
    MarkDraft,
    MatDraft,
    MeasureDraft,
    OpeningDraft,
    PanelDraft,
    PathDraft,
    PieceDraft,
    PolygonDraft,
    PoseDraft,
    RectangleDraft,
    SlitDraft,
    StockDraft,
    TouchDraft,
    TouchEndDraft,
    VariantDraft,
    VertexDraft,
    parse_design,
    read_design,
    resolve,
    write_design,
)
from foldwright.design.laid_out import LONGEST_LINE, laid_out

DESIGNS = Path(__file__).parents[1] / "designs"

NUMBERS = st.one_of(
    st.integers(-999, 999),
    st.fractions(-99, 99, max_denominator=64),
    st.floats(-99, 99).map(lambda number: round(number, 9)),
    st.sampled_from(["a", "a / 2 - 3 mm", "5 3/4", '1 5/8"', "-0", "+2", "0.50", "007", "60 deg"]),
)
POSITIVE = st.fractions(Fraction(1, 64), 50, max_denominator=64)
SPOTS = st.tuples(NUMBERS, NUMBERS)
NAMES = st.sampled_from(["left", "right", "Höhe 2", "a-b_c", "it's"])
MAYBE_NAMES = st.none() | NAMES
TEXTS = st.text(max_size=12)
SENSES = st.sampled_from(["mountain", "valley"])
FACES = st.sampled_from(["front", "back"])

VERTICES = st.one_of(
    SPOTS,
    st.builds(VertexDraft, at=SPOTS, round=st.none() | NUMBERS),
    st.builds(ArcDraft, arc_to=SPOTS, through=SPOTS),
    st.builds(CurveDraft, curve_to=SPOTS, control=st.lists(SPOTS, min_size=1, max_size=2)),
)
ALONG = st.lists(VERTICES, max_size=4)
CORNERS = st.lists(st.builds(VertexDraft, at=SPOTS, round=st.none() | NUMBERS), max_size=4)
SHAPES = st.one_of(
    st.builds(
        RectangleDraft,
        width=NUMBERS,
        height=NUMBERS,
        at=SPOTS,
        round=st.none() | NUMBERS,
    ),
    st.builds(RectangleDraft, width=NUMBERS, height=NUMBERS),
    st.builds(CircleDraft, at=SPOTS, radius=NUMBERS),
    st.builds(EllipseDraft, at=SPOTS, rx=NUMBERS, ry=NUMBERS),
    st.builds(PolygonDraft, points=CORNERS),
    st.builds(PathDraft, points=ALONG),
)
FOLDS = st.builds(
    FoldDraft,
    sense=SENSES | st.lists(SENSES, max_size=3),
    points=ALONG,
    angle=NUMBERS,
    still=st.booleans(),
)
BANDS = st.builds(
    BandDraft,
    start=SPOTS,
    end=SPOTS,
    walk=st.lists(NUMBERS, max_size=4),
    sense=st.just("alternate") | SENSES | st.lists(SENSES, max_size=3),
    first=st.none() | SENSES,
    angle=NUMBERS,
)
# A function of our own, for Hypothesis takes `str.split` to ask for a text that is not empty.
MARKS = st.builds(MarkDraft, points=ALONG) | st.builds(
    MarkDraft, text=TEXTS.filter(lambda text: text.split() != []), at=SPOTS, height=NUMBERS
)
PIECES = st.builds(
    PieceDraft,
    name=st.just("card"),
    outline=SHAPES,
    stock=st.none() | NAMES,
    grain=st.none() | NUMBERS,
    copies=NUMBERS,
    hide_bridges=st.lists(st.lists(VERTICES, min_size=1, max_size=3), max_size=2),
    slits=st.lists(
        st.builds(SlitDraft, points=ALONG, how=st.sampled_from(["cut", "tear"])), max_size=2
    ),
    bands=st.lists(BANDS, max_size=2),
    folds=st.lists(FOLDS, max_size=2),
    openings=st.lists(st.builds(OpeningDraft, shape=SHAPES, name=MAYBE_NAMES), max_size=1),
    marks=st.lists(MARKS, max_size=2),
    panels=st.lists(st.builds(PanelDraft, name=NAMES, at=SPOTS, cover=st.booleans()), max_size=1),
)
MEASURES = st.builds(
    MeasureDraft,
    value=NUMBERS,
    count=st.booleans(),
    keep=st.none() | st.booleans(),
    least=st.none() | NUMBERS,
    most=st.none() | NUMBERS,
    step=st.none() | NUMBERS,
    scale=st.sampled_from([None, "with", "fixed", "ruler"]),
    about=st.none() | TEXTS,
)
ENDS = st.builds(
    JointEndDraft, panel=st.just("card/panel 1"), face=FACES, line=st.tuples(SPOTS, SPOTS)
)
# What poses may hold and touch.
LID = PieceDraft(
    name="lid",
    outline=RectangleDraft(width=30, height=20),
    folds=[FoldDraft(name="hinge", sense="valley", points=[(0, 10), (30, 10)])],
)
TOUCHES = st.builds(
    TouchDraft,
    name=MAYBE_NAMES,
    panel=st.just("card/panel 1"),
    line=st.tuples(SPOTS, SPOTS),
    to=st.builds(TouchEndDraft, panel=st.just("lid/panel 2"), line=st.tuples(SPOTS, SPOTS)),
)
DESIGNED = st.builds(
    Design,
    name=NAMES,
    units=st.sampled_from(["mm", "in"]),
    version=st.none() | TEXTS,
    measures=st.dictionaries(st.sampled_from(["a", "b", "c_1"]), MEASURES, max_size=3),
    stocks=st.fixed_dictionaries(
        {
            "card": st.builds(StockDraft, material=st.none() | TEXTS, sheet=st.none() | TEXTS),
            "a b": st.builds(StockDraft),
        }
    ),
    pieces=st.tuples(PIECES, st.just(LID)),
    joints=st.lists(st.builds(JointDraft, glue=ENDS, to=ENDS, slack=NUMBERS), max_size=1),
    mats=st.lists(
        st.builds(
            MatDraft,
            on=st.just("card"),
            panels=st.just("all") | st.just(["panel 1", "panel 2"]),
            face=FACES,
            margin=st.none() | NUMBERS,
            l_shape=st.sampled_from(LShape),
            stock=st.none() | NAMES,
            up=st.none() | NUMBERS,
        ),
        max_size=2,
    ),
    extras=st.lists(
        st.builds(
            ExtraDraft,
            on=st.just("card/panel 1"),
            at=st.none() | SPOTS,
            size=st.lists(NUMBERS, max_size=2),
            height=st.none() | NUMBERS,
            mass=st.none() | NUMBERS,
            name=MAYBE_NAMES,
        ),
        max_size=1,
    ),
    poses=st.lists(
        st.builds(
            PoseDraft,
            name=NAMES,
            hold=st.dictionaries(
                st.sampled_from(["hinge", "lid/hinge#1", "hinge#2"]), NUMBERS, max_size=2
            ),
            touches=st.lists(TOUCHES, max_size=2, unique_by=lambda touch: touch.name),
            on=st.just(()) | st.just(["card/panel 1"]),
            view=st.none() | NUMBERS,
        ),
        max_size=1,
    ),
    envelope=st.none()
    | st.builds(
        EnvelopeDraft,
        form=st.sampled_from(["square-blank", "none"]),
        clearance_each_side=st.none() | NUMBERS,
        stock=st.none() | TEXTS,
        corner=st.none() | NUMBERS,
    )
    | st.builds(
        EnvelopeDraft,
        form=st.sampled_from(["four-flap", "standard"]),
        clearance_each_side=st.none() | NUMBERS,
    )
    | st.builds(
        EnvelopeDraft, form=st.just("standard"), standard=st.sampled_from(["C6", "6 in square"])
    ),
    limits=st.none()
    | st.builds(
        LimitsDraft,
        closed=st.none() | SPOTS,
        thickness=st.none() | NUMBERS,
        stands=st.none() | st.booleans(),
        post=st.just(()) | st.just(["us-letter", "uk-letter"]),
    ),
    variants=st.dictionaries(
        st.sampled_from(["inch", "very small"]),
        st.builds(
            VariantDraft,
            units=st.sampled_from([None, "mm", "in"]),
            measures=st.just({}),
            materials=st.just({}) | st.just({"card": "card-300", "a b": "text-120"}),
        ),
        max_size=2,
    ),
)


@settings(max_examples=80, suppress_health_check=[HealthCheck.too_slow])
@given(design=DESIGNED)
def test_a_design_is_written_and_read_back(design: Design) -> None:
    text = write_design(design)
    assert parse_design(text) == design
    assert write_design(parse_design(text)) == text


@settings(max_examples=60, suppress_health_check=[HealthCheck.too_slow])
@given(design=DESIGNED)
def test_a_design_that_is_laid_out_is_read_back(design: Design) -> None:
    text = laid_out(design, ["A heading of its own."])
    assert parse_design(text) == design
    assert text.startswith("# A heading of its own.\n")
    assert max(map(len, text.splitlines())) <= LONGEST_LINE


def test_a_curve_is_broken_where_its_brace_no_longer_fits() -> None:
    far = "-86.152759055"
    for digits in range(1, 40):
        bent = CurveDraft(curve_to=(far, far), control=[(far, far), (far, "1" * digits)])
        piece = PieceDraft(
            name="card",
            outline=RectangleDraft(width=9, height=9),
            marks=[MarkDraft(points=[(0, 0), bent, (1, 1)])],
        )
        text = laid_out(Design(name="curve", pieces=[piece]))
        assert max(map(len, text.splitlines())) <= LONGEST_LINE
        assert parse_design(text).pieces[0].marks == piece.marks


@pytest.mark.parametrize("name", ["harbour-steps", "everything"])
def test_a_file_is_written_and_read_back(name: str) -> None:
    design = read_design(DESIGNS / f"{name}.toml")
    again = parse_design(write_design(design))
    assert again == design
    for variant in (None, *design.variants):
        ours, theirs = resolve(again, variant=variant), resolve(design, variant=variant)
        assert [(f.name, f.path) for piece in ours.pieces for f in piece.folds] == [
            (f.name, f.path) for piece in theirs.pieces for f in piece.folds
        ]


def test_a_measure_of_a_variant_may_leave_the_value_as_it_is() -> None:
    design = read_design(DESIGNS / "everything.toml")
    wider = VariantDraft(measures={"box": MeasureDraft(value=None, most=50)})
    design = replace(design, variants={"wide": wider})
    assert parse_design(write_design(design)) == design


def test_texts_are_escaped_as_toml_asks() -> None:
    about = 'a "quoted" \\ back\x00slash\nand\ta line\x7f'
    design = Design(
        name="Pebble",
        measures={"a": MeasureDraft(value=1, about=about)},
        pieces=[PieceDraft(name="card", outline=RectangleDraft(width=9, height=9))],
    )
    assert tomllib.loads(write_design(design))["measures"]["a"]["about"] == about


def test_the_text_is_plain_to_read() -> None:
    design = Design(
        name="Pebble",
        measures={"w": MeasureDraft(value="5 3/4"), "rows": MeasureDraft(value=3, count=True)},
        pieces=[
            PieceDraft(
                name="card",
                outline=RectangleDraft(width="w", height=150, round=2.5),
                folds=[FoldDraft(sense="valley", points=[(0, 75), ("w", 75)])],
            )
        ],
    )
    assert write_design(design) == (
        'format = 1\nname = "Pebble"\nunits = "mm"\n\n'
        '[measures]\nw = "5 3/4"\nrows = { number = 3 }\n\n'
        '[[piece]]\nname = "card"\noutline = { rectangle = ["w", 150], round = 2.5 }\n\n'
        '[[piece.fold]]\nsense = "valley"\npoints = [[0, 75], ["w", 75]]\n'
    )


def test_what_is_too_long_for_a_line_is_laid_out_in_several() -> None:
    long = " + ".join(["left"] * 20)
    design = Design(
        name="Pebble",
        units="in",
        measures={"left": MeasureDraft(value=1, most=2, about="how far it is")},
        pieces=[
            PieceDraft(
                name="card",
                outline=PolygonDraft(points=[(0, 0), (long, 0), VertexDraft(at=(9, 9), round=1)]),
                folds=[FoldDraft(name=f"the fold of number {i}", sense="valley",
                                 points=[(0, i), ("left + 8", i)]) for i in (1, 2, 3)],
            )
        ],
        poses=[PoseDraft(name="up", hold={f"card/the fold of number {i}": 90 for i in (1, 2, 3)})],
    )  # fmt: skip
    text = laid_out(design)
    assert parse_design(text) == design
    assert (
        """[measures.left]
about = "how far it is"
is    = 1
most  = 2
"""
        in text
    )
    assert (
        '''[piece.outline]
polygon = [
  [0, 0],
  [
    """\\
      left + left + left + left + left + left + left + left + left + left + left + left + left \\
      + left + left + left + left + left + left + left""",
    0,
  ],
  { at = [9, 9], round = 1 },
]
'''
        in text
    )
    assert (
        """[pose.hold]
"card/the fold of number 1" = 90
"card/the fold of number 2" = 90
"card/the fold of number 3" = 90
"""
        in text
    )
    assert text.count("# Folds: ") == 1
    assert "bare number is in inches" in " ".join(text.split())
