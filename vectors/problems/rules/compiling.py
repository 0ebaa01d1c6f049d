"""This module holds the rules of the stage: compiling."""

from __future__ import annotations

from .rule import NOTE, STOP, WARN, Rule

RULES: tuple[Rule, ...] = (
    Rule(
        code="glyph-missing",
        severity=WARN,
        text='the alphabet lacks {signs} of the text "{text}", drawn as {boxes}',
        mend="write it with other signs, or draw it as a mark with points",
        about="Texts are drawn in single strokes, in an alphabet that has the letters, digits and "
        "signs of Latin print; what it lacks becomes an empty box, so that nothing is lost unseen.",
    ),
    Rule(
        code="text-small",
        severity=NOTE,
        text='the capitals of the text "{text}" are {height} tall, and hard to read below {least}',
        mend="give it a larger height, or draw it with a fine pen",
        about="A pen of 0.5 mm fills the bowls of smaller letters.",
    ),
    Rule(
        code="text-off-paper",
        severity=WARN,
        text='the text "{text}" runs {by} over {rim}, at {spot}',
        mend="move it onto the paper, or make it smaller",
        about="Letters off the paper are drawn on what lies below, or not at all.",
    ),
    Rule(
        code="text-over-line",
        severity=WARN,
        text='the text "{text}" lies on {line}, at {spot}',
        mend="{hint}",
        about="A cut, a fold or another text through letters makes them hard to read; the figure "
        "is that of the shortest way along an axis that takes the box about a line of letters off.",
    ),
    Rule(
        code="no-score-way",
        severity=STOP,
        text='piece "{piece_name}" has {folds} to score, and "{material}" says nothing of scoring '
        "with the {tool}: they are left out",
        mend="add [tool.{tool}.score] to the material, or use another tool",
        about="A fold line without a score does not fold where it should.",
    ),
    Rule(
        code="no-perforation-way",
        severity=STOP,
        text='"{line}" of piece "{piece_name}" is to be perforated, and "{material}" says nothing '
        "of perforating with the {tool}: it is left out",
        mend="add [tool.{tool}.perforation] to the material, or cut the line",
        about="A perforation drawn as a plain line would be cut through.",
    ),
    Rule(
        code="kerf-unknown",
        severity=WARN,
        text='"{material}" gives no kerf for the {tool}: outlines and openings are drawn to size',
        mend="measure the kerf on a test cut and add it to the material",
        about="Without a kerf every part comes out smaller, and every opening larger, by it.",
    ),
    Rule(
        code="kerf-loses-feature",
        severity=STOP,
        text='{line} of piece "{piece_name}" cannot be cut with a kerf of {kerf}: '
        "at {spot}{more} {reason}; it is left out",
        mend="make it larger, or use a tool with less kerf",
        about="What is narrower than the kerf vanishes; no wrong line is drawn for it.",
    ),
    Rule(
        code="narrower-than-kerf",
        severity=STOP,
        text='{line} of piece "{piece_name}" is at most {width} wide, at {spot}, and the kerf is '
        "{kerf}: nothing is left to cut along, and it is left out",
        mend="make it wider than the kerf, draw it as a slit, or use a tool with less kerf",
        about="The narrowest hole that a tool can make is as wide as its kerf.",
    ),
    Rule(
        code="kerf-changes-line",
        severity=WARN,
        text='{line} of piece "{piece_name}" does not come out as drawn with a kerf of {kerf}: '
        "at {spot}{more} {what}",
        mend="make the place wider than the kerf, or use a tool with less kerf",
        about="The line is drawn as close to the design as the tool can follow; what it cannot "
        "follow is told.",
    ),
    Rule(
        code="kerf-path-fitted",
        severity=WARN,
        text='{line} of piece "{piece_name}" does not come out as drawn with a kerf of {kerf}: '
        "at {spot}{more} {reason}; its lines and arcs were fitted to a flattened edge, to a "
        "micrometre",
        mend="look at the place in the drawing before cutting, or change the design there",
        about="Where the exact path cannot be proved, the edge of the area is flattened and "
        "fitted with lines and arcs again.",
    ),
    Rule(
        code="corner-rounded",
        severity=NOTE,
        text='the tool runs round {corners} of {line} of piece "{piece_name}", the first at '
        "{spot}, on an arc of {length}",
        mend="leave it so: the corner of the part stays sharp",
        about="A mitre on a very sharp corner would run far past it, so the tool path gets an arc.",
    ),
    Rule(
        code="score-too-short",
        severity=WARN,
        text='fold "{line}" of piece "{piece_name}" is only {length} long at {spot}: '
        "it is scored in full, with no inset of {inset}{written}",
        mend="make the fold longer, or watch its ends for tears",
        about="An inset at both ends would leave too little of a short score to fold on.",
    ),
    Rule(
        code="perforation-too-fine",
        severity=STOP,
        text='{line} of piece "{piece_name}" is {length} long at {spot}: '
        "its cuts of {made} are no longer than the kerf of {kerf}; it is left out",
        mend="make the line longer, or give it longer cuts or burns in the material",
        about="A tool makes no cut that is shorter than its kerf.",
    ),
    Rule(
        code="perforation-pressed",
        severity=WARN,
        text='{line} of piece "{piece_name}" is {length} long at {spot}: its shortest cut is '
        "only {made}",
        mend="make the line longer, or move the lines that meet it farther apart",
        about="A perforation or a line of dashes is pressed into a stretch too short for it.",
    ),
    Rule(
        code="bridges-no-room",
        severity=WARN,
        text="{placed} of {wanted} bridges of {length}{written} have room on {line} of piece "
        '"{piece_name}", which starts at {spot}{why}',
        mend="{hold}, or make the edge longer",
        about="Bridges keep clear of corners and of the ends of folds and slits.",
    ),
    Rule(
        code="bridge-longer-than-edge",
        severity=WARN,
        text="bridges of {length}{written} are longer than any edge of {line} of piece "
        '"{piece_name}", which starts at {spot}: its longest is {longest}',
        mend="make the edge longer, or give the material shorter bridges",
        about="A bridge that is longer than an edge would leave the whole edge uncut.",
    ),
    Rule(
        code="bridge-on-clean-edge",
        severity=WARN,
        text='{placed} of {wanted} bridges of {line} of piece "{piece_name}" lie on an edge that '
        "should stay clean, the first at {spot}",
        mend="leave more edges free for bridges, or trim them off with care",
        about="There was no room for all bridges on the other edges.",
    ),
    Rule(
        code="overlapping-strokes",
        severity=STOP,
        text='{first} and {second} of piece "{piece_name}" lie on each other at {spot}',
        mend="take one of the two away, or end it where the other begins",
        about="A line worked twice tears or scorches, and a score on a cut is no score.  It is a "
        "warn where one of the two is only drawn: a drawn line on a cut does no harm.",
    ),
    Rule(
        code="nothing-to-work",
        severity=WARN,
        text='piece "{piece_name}" has no line left to draw, score or cut',
        mend="leave --pretrimmed out, or give the piece a fold or a slit",
        about="A file without a stroke is of no use at the machine.",
    ),
    Rule(
        code="half-cut-inside",
        severity=WARN,
        text='{folds} of piece "{piece_name}" would be half-cut on the inside of the fold, the '
        'first "{line}" at {spot}: "{material}" has the {tool} cut from {face}',
        mend='give the score valleys_from = "back" in the material, or fold with care',
        about="A half cut belongs on the outside of a fold, where it can open.",
    ),
    Rule(
        code="overlap-merged",
        severity=NOTE,
        text='{second} of piece "{piece_name}" lies on {first} at {spot}: what they share is '
        "worked once, and what is left of it goes on from there",
        mend="take what is drawn twice out of the design",
        about="Two lines of one kind that lie on each other are one line to the tool; worked "
        "twice they would tear or scorch.",
    ),
    Rule(
        code="relief-hole-no-room",
        severity=WARN,
        text='the relief hole of {size}{written} at the end {spot} of slit "{line}" of piece '
        '"{piece_name}" would reach {other}: the slit is cut in full there',
        mend="end the slit farther off, or give the material a smaller hole",
        about="A hole that runs into another cut parts what it should hold.",
    ),
    Rule(
        code="relief-hole-too-small",
        severity=WARN,
        text="a relief hole of {size} is no wider than the kerf of {kerf}: the slits of piece "
        '"{piece_name}" are cut in full, "{line}" at {spot} first',
        mend="give the material a larger hole, or full ends",
        about="The tool takes as much at the end of its cut.",
    ),
    Rule(
        code="slit-too-short",
        severity=WARN,
        text='slit "{line}" of piece "{piece_name}" is only {length} long at {spot}: it is cut in '
        "full, without the {size}{written} for its ends",
        mend="make the slit longer, or watch its ends for tears",
        about="Ends that stop short, or holes, would leave too little of a short slit.",
    ),
    Rule(
        code="corner-register",
        severity=NOTE,
        text='the mark layer of piece "{piece_name}" starts with a register for the {corner} '
        "corner of its blank",
        mend="draw it on {under}; then lay the blank into it and go on",
        about="A blank that is trimmed already must lie where the lines will come.",
    ),
    Rule(
        code="register-holds-little",
        severity=WARN,
        text='the blank of piece "{piece_name}" has no straight edges at its {corner} corner: the '
        "register shows where it lies, but does not keep it from turning",
        mend="mark on the blank which way it lies, or trim it after the machine has worked it",
        about="Two straight edges hold a blank; a round one turns.",
    ),
    Rule(
        code="register-in-the-rim",
        severity=NOTE,
        text='the blank of piece "{piece_name}" needs the rim of the machine "{machine}", where '
        "no register can be drawn",
        mend="lay its {corner} corner exactly into the {corner} corner of the work area",
        about="A blank as large as the work area covers what the tool does not reach; only its "
        "lines must be within reach.",
    ),
    Rule(
        code="second-face",
        severity=NOTE,
        text='{folds} of piece "{piece_name}" to be worked from the {first}: work the file of the '
        "{first} first{start}, turn the sheet about its {edge} edge, then work the file of the "
        "{second}{out}; {off}",
        mend="{how}",
        about="Some stock must be scored from the outside of each fold, so the sheet is turned "
        "over once.",
    ),
    Rule(
        code="lies-face-down",
        severity=NOTE,
        text='the machine "{machine}" has its jobs face down: the file of the back of piece '
        '"{piece_name}" is drawn as the back is seen',
        mend="lay the sheet with its front down for it",
        about="What is cut from behind is drawn as it is seen from behind.",
    ),
    Rule(
        code="does-not-fit",
        severity=STOP,
        text='piece "{piece_name}" does not fit: {what} {size}, and the machine "{machine}"{where} '
        "reaches {room}; that is {beyond}",
        mend="make it smaller, or use a larger machine",
        about="What lies outside the work area, or in its rim, is not cut, or cut somewhere else.",
    ),
    Rule(
        code="nothing-to-turn",
        severity=NOTE,
        text="--turn-about {edge} changes nothing: no line is worked from the other face",
        mend="leave it out",
        about="An option without an effect is often a misunderstanding.",
    ),
    Rule(
        code="perforation-blocked",
        severity=WARN,
        text='{line} of piece "{piece_name}" has no cut for {length} about {spot}: other lines '
        "meet it too close together",
        mend="move these lines farther apart, or take shorter cuts in the material",
        about="No cut runs through a place where lines meet.",
    ),
    Rule(
        code="ties-browned",
        severity=WARN,
        text='the ties of {line} of piece "{piece_name}"{more} are {tie} wide{figure}, and a laser '
        "browns up to {browned} on either side of them: they may glow or break",
        mend="give the perforation longer ties in the material",
        about="Cuts that are burned close together heat what is left between them.  How far a "
        "laser browns paper is common practice, no source.",
    ),
    Rule(
        code="air-lifts",
        severity=WARN,
        text="nothing holds {part}{more}, and the air under a laser lifts so light a material into "
        "the beam",
        mend="{mending}, or stay ready to stop the machine and take it out",
        about="A loose scrap that lies across a cut is burned again and may catch fire.  Air of "
        "4 m/s presses as hard as a sheet of about 1000 g/m² weighs; told are parts below 1 g.",
    ),
    Rule(
        code="small-part",
        severity=NOTE,
        text='piece "{piece_name}" {how} as what rules for toys call a small part: it fits a '
        "cylinder of {width}",
        mend="keep it from children under 3, who may choke on it, or glue it on for good",
        about="16 CFR 1501 and EN 71-1 judge by a cylinder 31.7 mm wide and up to 57.1 mm deep "
        "(the depth from memory); told is what fits a rectangle of both, flat or panel by panel.",
    ),
    Rule(
        code="small-waste",
        severity=NOTE,
        text='what falls out of opening "{opening}" of piece "{piece_name}"{more} is as small as '
        "what rules for toys call a small part: it fits a cylinder of {width}",
        mend="gather the scraps, and keep them from children under 3, who may choke on them",
        about="Scraps of a sheet with many windows are easily left on a table or a floor.",
    ),
    Rule(
        code="double-score-no-room",
        severity=WARN,
        text='fold "{line}" of piece "{piece_name}" has no room at {spot} for two lines {shift}'
        "{written} to either side of it: it is scored once",
        mend="make that part of the fold longer or its arc wider, or give the material less shift",
        about="Where folds meet, their lines end at a corner; a short part has none left.",
    ),
    Rule(
        code="double-scores-too-near",
        severity=WARN,
        text='the double scores of folds "{line}" and "{other}" of piece "{piece_name}" come '
        "within {away} of each other at {spot}, with a shift of {shift}{written}: both are scored "
        "once",
        mend="move the folds farther apart, or give the material less shift",
        about="A panel narrower than the two lines of a double score would fold like one.",
    ),
    Rule(
        code="part-cut-free",
        severity=STOP,
        text='a part of {area} would come off piece "{piece_name}" at {spot}: {lines} {cut} it '
        "free",
        mend="leave a stretch of it uncut that is wider than the kerf, or make it an opening",
        about="Cuts that meet, or come nearer to each other than the kerf, sever what lies "
        "between them.",
    ),
    Rule(
        code="part-not-held",
        severity=WARN,
        text="nothing holds {what}, of {area} at {spot}, though bridges are asked for: "
        "{lines} {cut} it free",
        mend="make room for bridges, or {hold}",
        about="A part that comes loose while it is cut moves under the tool.",
    ),
    Rule(
        code="part-held-too-little",
        severity=WARN,
        text='{line} of piece "{piece_name}" keeps {bridges} of {length}{written} or more, '
        "the cut at {spot} first",
        mend="make room for bridges, or {hold}",
        about="A piece turns on a single bridge, and a bridge that is too short breaks.",
    ),
    Rule(
        code="perforation-crowded",
        severity=STOP,
        text='{line} of piece "{piece_name}" is met by {lines} on {length}: between the ties where '
        "they meet it there is no room for a cut; it is left out",
        mend="move the lines that meet it farther apart, have the fold scored another way, or give "
        "the material shorter ties or skips",
        about="Every place where another line meets a perforation gets a tie of its own.",
    ),
    Rule(
        code="blank-past-work-area",
        severity=WARN,
        text='the blank of piece "{piece_name}" is {size}, and the work area of the machine '
        '"{machine}"{where} is {room}: it lies {beyond} over the edge',
        mend="see that the machine takes a blank that lies over its edge, or use a larger machine",
        about="A blank that stands against a wall or a clamp does not lie where its lines come.",
    ),
)
