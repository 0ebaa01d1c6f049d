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
        mend="under to, name the panel that it touches",
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
    Rule(
        code="pose-strained",
        severity=STOP,
        text='the pose "{pose}" cannot be reached without bending paper: {fold} at {loop} of '
        '"{of}" stays {gap} apart{turn}',
        mend="{hint}",
        about="No pose keeps the held folds and lets every panel meet; this one leaves least "
        "over.  The severity follows from the gap that the material forgives.",
    ),
    Rule(
        code="touch-not-met",
        severity=STOP,
        text='the lines of {touch} do not meet in the pose "{pose}": they stay {gap} apart',
        mend="{hint}",
        about="What the held folds leave free does not bring the two lines together; this is as "
        "near as they come.  The severity follows from the gap that the material forgives.",
    ),
    Rule(
        code="touch-across-nothing",
        severity=WARN,
        text="{touch} is left out: no fold and no joint ties its two panels together",
        mend="join the two pieces with a [[joint]], or leave the touch out",
        about="Pieces that nothing ties together have no place against each other.",
    ),
    Rule(
        code="does-not-open",
        severity=WARN,
        text="the card cannot be opened flat without bending paper: {fold} at {loop} of "
        '"{of}" stays {gap} apart{turn}',
        mend="{hint}",
        about="What is glued in holds the pages of the first piece back.  A note where a piece is "
        "glued to itself: a tube or a pocket is meant never to open flat again.",
    ),
    Rule(
        code="pose-not-found",
        severity=STOP,
        text='the pose "{pose}" was not found: the search for it did not come to rest',
        mend="hold another fold, or the same ones at other angles",
        about="A search that does not converge gives no pose, rather than a wrong one.",
    ),
    Rule(
        code="pose-too-large",
        severity=WARN,
        text="the poses are not worked out: {why}",
        mend="{hint}",
        about="What is not judged is said.",
    ),
    Rule(
        code="bends-on-the-way",
        severity=NOTE,
        text="{way} the paper has to bend: {share} of the way, {fold} at {loop} of "
        '"{of}" is {gap} apart{turn}',
        mend="check the senses of the folds there; if they are right, expect it to resist, or add "
        "a fold or a slit that lets it pass",
        about="Both ends of the way close but no pose between them does, so stiff board cannot "
        "follow and thin paper will give.",
    ),
    Rule(
        code="floppy",
        severity=NOTE,
        text='the pose "{pose}" is floppy {count}: nothing holds {folds}',
        mend="to hold it, fix {holding}: a stop strip or a gusset glued across {each}, or a "
        "further joint",
        about="What the held folds leave free sags when the card stands.",
    ),
    Rule(
        code="freedom-undecided",
        severity=NOTE,
        text='how floppy the pose "{pose}" is cannot be told: its motions do not part clearly in '
        "free and held",
        mend="hold a fold at a slightly other angle",
        about="Where a card is flat, shut or all but stuck, the count would be a guess.",
    ),
    Rule(
        code="clash",
        severity=STOP,
        text='in the pose "{pose}" panel {first} passes through panel {second} at {spot}',
        mend="shorten one of the two there, cut it away with an opening, or hold the folds at "
        "other angles",
        about="Paper cannot pass through paper.",
    ),
    Rule(
        code="beyond-shut",
        severity=WARN,
        text="{way} {fold} is turned farther than shut",
        mend="give it the other sense if it was meant to turn that way",
        about="Its two panels would pass through each other.  Often the folds of a piece that is "
        "glued in have the senses of its other face.  A note where more than one motion leads "
        "there.",
    ),
    Rule(
        code="clash-on-the-way",
        severity=WARN,
        text="{way} panel {first} passes through panel {second} at {spot}, {share} of the way"
        "{more}",
        mend="shorten one of the two there, or turn a fold past where it is to end while they "
        "pass, if the paper lets it",
        about="With all folds turned together the panels are in each other's way, and no order "
        "was found that gets round it, each fold turned as far as it goes before the next one.  "
        "A note where more than one motion leads there, for then another may get round it.",
    ),
    Rule(
        code="fold-in-this-order",
        severity=NOTE,
        text='to reach "{pose}" fold in this order: {order}; turned all together, panels {first} '
        "and {second} would pass through each other{more}",
        mend="turn each of them as far as it goes before the next one",
        about="One after another nothing is in the way.  Folds that a loop goes round turn "
        "together and are one step.  Panels that lie on each other in the closed card come there "
        "in the order of its plies.",
    ),
    Rule(
        code="turned-against-sense",
        severity=NOTE,
        text='in the pose "{pose}" {folds} turned against {sense}',
        mend="change {sense} if the design has it wrong; else score for the sense that is needed "
        "most, or hold another fold",
        about="A score folds best one way; a fold that goes both ways wears.",
    ),
    Rule(
        code="off-the-table",
        severity=WARN,
        text='in the pose "{pose}" panel {panel} is to lie on the table and is {height} off it',
        mend="hold a fold at the angle at which it lies level, or take it out of on",
        about="The panels that a pose stands on lie in one plane.",
    ),
)
