"""This module holds the rules of the stage: gauging, what a maker measures."""

from __future__ import annotations

from .rule import NOTE, STOP, WARN, Rule

RULES: tuple[Rule, ...] = (
    Rule(
        code="gauge-usage",
        severity=STOP,
        text="{reason}",
        mend="{hint}",
        about="Gauges are drawn for a material and a tool, or a form is read: never both.",
    ),
    Rule(
        code="gauge-left-out",
        severity=NOTE,
        text="the {gauge} is left out: {reason}",
        mend="measure without it",
        about="Not every material and tool has a use for every gauge, or room for it.",
    ),
    Rule(
        code="gauge-form-filled",
        severity=STOP,
        text="this form has readings in it",
        mend="read it with --measured, name another folder, or replace it with --replace",
        about="What somebody measured is not thrown away by drawing the gauges again.",
    ),
    Rule(
        code="gauge-form-version",
        severity=STOP,
        text="the form is of version {found}, and this program reads version {known}",
        mend="make the gauges again, and copy the readings that the new form asks for as well",
        about="A key of another version may mean another thing.",
    ),
    Rule(
        code="gauge-form-empty",
        severity=STOP,
        text="nothing is filled in",
        mend="fill in at least one reading",
        about="A profile without a measured figure would only repeat its base.",
    ),
    Rule(
        code="gauge-nothing-left",
        severity=STOP,
        text="none of the readings gives a figure",
        mend="mend what the other findings say, or fill in a gauge that gives a figure: the size "
        "bars alone give none",
        about="A profile without a measured figure would only repeat its base.",
    ),
    Rule(
        code="gauge-no-length",
        severity=STOP,
        text="{key} is {found}, and a length that was measured is more than 0 mm",
        mend="measure {name} again, or leave it empty",
        about="What is there has a length; only a fold may take up nothing at all.",
    ),
    Rule(
        code="gauge-too-many",
        severity=STOP,
        text="{key} has {count} readings, at most {most} are taken",
        mend="leave the oldest out",
        about="A list that long is a slip, not a series of readings.",
    ),
    Rule(
        code="gauge-no-such-tooth",
        severity=STOP,
        text="{key} is {found}, and the gauge has teeth 1 to {count}",
        mend='count the ticks again, or write "none" where no tooth will do',
        about="A tooth is told by its ticks.",
    ),
    Rule(
        code="gauge-scale",
        severity=WARN,
        text="{what} is {found} in place of {due}, {share} of its size: {trap}",
        mend="{mend}",
        about="A size bar tells how a program took the numbers of a file.  The kerf and the "
        "caliper are right all the same; every figure that rests on what was drawn is left out.",
    ),
    Rule(
        code="gauge-scale-slight",
        severity=NOTE,
        text="the sheets came out at {share} of their size: lengths that were drawn are taken as "
        "they came out",
        mend="check a long bar with a steel ruler; most machines can be set",
        about="A machine may be a little out of scale, and so may a ruler.",
    ),
    Rule(
        code="gauge-scales-differ",
        severity=STOP,
        text="{first} came out at {first_share} of its size, and {second} at {second_share}",
        mend="measure both again: the single line is the metric bar, the double one is in inches",
        about="All of a sheet comes in at one scale, so one of the two was misread.",
    ),
    Rule(
        code="gauge-needs-size",
        severity=WARN,
        text="{figure} is left out: it rests on lengths that were drawn, and those did not come "
        "out at their size",
        mend="make the sheets again at their true size, and measure that gauge on them",
        about="A comb at half its size has other teeth than its file says, and another feel.",
    ),
    Rule(
        code="gauge-half-read",
        severity=WARN,
        text="{key} is filled in and {other} is not: they say nothing apart",
        mend="measure {other} as well",
        about="A kerf is half of what a hole is larger than its piece.",
    ),
    Rule(
        code="gauge-kerf-negative",
        severity=STOP,
        text="along {axis} the hole measures {hole} and its piece {piece}: no tool removes less "
        "than nothing",
        mend="measure {hole_key} and {piece_key} again, and see that they are not exchanged",
        about="A hole is as large as its piece or larger; a difference that reading explains is 0.",
    ),
    Rule(
        code="gauge-impossible",
        severity=STOP,
        text="the readings give {figure} = {found}, and it is {due}",
        mend="measure {keys} again, and check their units: lengths are mm",
        about="A figure that no paper and no tool can have, most often a slip of the unit.",
    ),
    Rule(
        code="gauge-readings-spread",
        severity=WARN,
        text="the readings of {name} lie {spread} apart, from {least} to {most}",
        mend="measure {name} again, and strike out what was misread",
        about="Readings of one length differ by little; one that stands out moves the mean.",
    ),
    Rule(
        code="gauge-caliper-far",
        severity=WARN,
        text='one ply comes out at {found}, and "{material}" says {base}',
        mend="measure {name} again, and count the plies of the stack",
        about="A packet may differ by a few percent from what its kind usually has; a stack with a "
        "ply too many differs by more.  It is a stop where one is more than twice the other.",
    ),
    Rule(
        code="gauge-plies-out-of-order",
        severity=WARN,
        text="more plies take up less length: {first} is {first_mm}, and {second} is {second_mm}; "
        "the allowance is left out",
        mend="measure {first} and {second} again, the plies pushed into the fold",
        about="Each ply more that a fold wraps takes up as much again.",
    ),
    Rule(
        code="gauge-no-tooth",
        severity=WARN,
        text="no tooth of the {gauge} was good enough, so {figure} stays that of the base",
        mend="{mend}",
        about="A comb has few teeth; the right one may lie beyond them.",
    ),
    Rule(
        code="gauge-slot-narrow",
        severity=WARN,
        text="a slot of {slot} is said to take the tongue, and one ply is {caliper} thick",
        mend="count the ticks again, and measure the stack again",
        about="Paper gives a little, but a slot is no narrower than what slides into it.",
    ),
    Rule(
        code="gauge-make-up",
        severity=WARN,
        text="made_of is {found}, so no laser file will be written with this profile",
        mend="say what the sheet is made of if you know it: one of {known}",
        about="Nobody but its owner knows what a sheet is made of, so the base's word does not "
        "count.",
    ),
)
