"""This module holds the rules for dividing a piece into panels: what crosses, hangs or doubles."""

from __future__ import annotations

from .rule import NOTE, STOP, WARN, Rule

RULES: tuple[Rule, ...] = (
    Rule(
        code="fold-crosses-slit",
        severity=STOP,
        text="{fold} runs across {slit} at {spot}",
        mend="end the fold there or split it",
        about="The paper is parted along a slit, so no fold can run on over it.",
    ),
    Rule(
        code="crosses-outline",
        severity=STOP,
        text="{what} runs across {rim} at {spot}",
        mend="end it there",
        about="Beyond the outline, and within an opening, there is no paper to work on.",
    ),
    Rule(
        code="outline-crosses-itself",
        severity=STOP,
        text="{rim} meets {other} at {spot}",
        mend="move the corners so that the two stay apart",
        about="An outline or an opening that touches or crosses itself, or another one, "
        "leaves no sound piece of paper.",
    ),
    Rule(
        code="outside-outline",
        severity=STOP,
        text="{what} lies off the paper at {spot}",
        mend="move it onto the paper or leave it out",
        about="A line outside the outline, or within an opening, works nothing.",
    ),
    Rule(
        code="slit-end-hangs",
        severity=STOP,
        text="{what} ends at {spot} in the middle of a panel",
        mend="end it on a fold, a slit, an opening or the outline; a slot for a tab is drawn as a "
        "narrow opening",
        about="Paper tears on from the end of a slit that no fold or edge takes up.",
    ),
    Rule(
        code="fold-end-hangs",
        severity=STOP,
        text="{what} ends at {spot} in the middle of a panel",
        mend="end it on a fold, a slit, an opening or the outline",
        about="A flat panel cannot be folded along a part of a line only.",
    ),
    Rule(
        code="fold-parts-nothing",
        severity=STOP,
        text="{what} has one and the same panel on both sides at {spot}",
        mend="run it from edge to edge of the panel, or slit the panel where it should let go",
        about="A flat panel that hangs together round the end of a fold cannot turn on it.",
    ),
    Rule(
        code="doubled-line",
        severity=STOP,
        text="{what} runs along {other} at {spot}",
        mend="leave one of the two out",
        about="A line that is worked twice tears, and a fold along a slit joins nothing.",
    ),
    Rule(
        code="panel-cut-loose",
        severity=STOP,
        text='the panel round {spot} is joined to the rest of "{piece}" by no fold',
        mend="leave a fold there, make it an opening, or make it a piece of its own",
        about="Slits that meet all round a panel cut it out.",
    ),
    Rule(
        code="arc-not-folded",
        severity=NOTE,
        text="{fold} has arcs, at {spot} for one: they are scored and not folded",
        mend="fold them by hand, with care: paper bends along a curved score",
        about="Panels are taken to stay flat, and a flat panel cannot turn on a curve.",
    ),
    Rule(
        code="still-not-folded",
        severity=NOTE,
        text="{fold} is still: it is scored and not folded",
        mend="leave out still = true if it is to turn",
        about="Its panels are one flat panel in every pose, which a slip of a key must not hide.",
    ),
    Rule(
        code="panel-name-nowhere",
        severity=STOP,
        text='the panel name "{name}" is put at {spot}, where there is no panel',
        mend="put it well inside the panel that it names",
        about="A name on a line, an opening or off the paper names no panel.",
    ),
    Rule(
        code="panel-named-twice",
        severity=STOP,
        text='"{name}" at {spot} names a panel that is called "{other}" already',
        mend="move the one that is meant for another panel well inside that, such as "
        '"{other}" off a door that is cut free here, or take one of the two names out',
        about="Two names for one panel are a slip: most often one of the points is misplaced.",
    ),
    Rule(
        code="joint-names-no-panel",
        severity=STOP,
        text='{joint} names the panel "{name}", which is not there',
        mend="{hint}",
        about="A joint glues two panels, each called by its piece and its panel.",
    ),
    Rule(
        code="joint-off-panel",
        severity=STOP,
        text='the line of {joint} leaves the panel "{name}" at {spot}',
        mend="keep both ends of the line on that panel",
        about="Glue holds only where there is paper.",
    ),
    Rule(
        code="joint-lines-differ",
        severity=WARN,
        text="{joint} lays a line of {first} mm on one of {second} mm",
        mend="make the two lines equally long",
        about="The two lines of a joint coincide end to end, so they have one length.",
    ),
)
