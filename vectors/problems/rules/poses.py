"""This module holds the rules for poses: what is held, what touches, what is glued when."""

from __future__ import annotations

from .rule import NOTE, STOP, WARN, Rule

RULES: tuple[Rule, ...] = (
    Rule(
        code="built-in-pose",
        severity=STOP,
        text='a pose cannot be called "{name}": every card has that one already',
        mend="give it another name; {known} need not be written",
        about="Flat is the piece as cut, open and closed are the two states of the finished card.",
    ),
    Rule(
        code="pose-holds-nothing",
        severity=NOTE,
        text='the pose "{pose}" is read and kept, but not judged: it holds no fold',
        mend="{hint}",
        about="The other folds follow the held ones; where none is held, any pose would do.",
    ),
    Rule(
        code="holds-contradict",
        severity=STOP,
        text='the pose "{pose}" holds {first} at {one} degrees and {second} at {other}, '
        "which is one hinge",
        mend="keep one of the two",
        about="A hinge has one angle in a pose.",
    ),
    Rule(
        code="held-never-turns",
        severity=STOP,
        text='the pose "{pose}" holds {fold}, which is {why}',
        mend="{hint}",
        about="What is only scored stays flat in every pose, so it cannot be held at an angle.",
    ),
    Rule(
        code="no-such-hinge",
        severity=STOP,
        text='the pose "{pose}" holds "{name}", and that fold is {count}',
        mend="{hint}",
        about="A fold is as many hinges as slits and other folds leave of it, counted along it.",
    ),
    Rule(
        code="pose-names-no-panel",
        severity=STOP,
        text='{what} names the panel "{name}", which is not there',
        mend="{hint}",
        about="What lies on the table, and what touches, are panels: a piece and a name or number.",
    ),
    Rule(
        code="touch-off-panel",
        severity=STOP,
        text='the line of {touch} leaves the panel "{name}" at {spot}',
        mend="keep both ends of the line on that panel",
        about="Paper touches only where there is paper.",
    ),
    Rule(
        code="touch-on-itself",
        severity=STOP,
        text='{touch} lays the panel "{name}" on itself',
        mend="name the panel that it touches in to",
        about="Two panels touch; one panel is flat and meets itself nowhere.",
    ),
    Rule(
        code="touch-lines-differ",
        severity=WARN,
        text="{touch} lays a line of {first} mm on one of {second} mm",
        mend="make the two lines equally long",
        about="The two lines of a touch coincide end to end, so they have one length.",
    ),
    Rule(
        code="glued-in-a-ring",
        severity=WARN,
        text="none of {joints} can be glued first: each has its line under what another one glues",
        mend="move one of the lines out from under the panel that covers it",
        about="What is covered must be glued before what covers it.",
    ),
)
