"""This module holds the rules of the stage: profiles, the files of materials."""

from __future__ import annotations

from .rule import STOP, Rule

RULES: tuple[Rule, ...] = (
    Rule(
        code="not-a-material-file",
        severity=STOP,
        text='the material "{name}" of {distribution} gives {found}, not the path of a file',
        mend="update or uninstall {distribution}",
        about="An entry point for a material is the path of a profile file.",
    ),
    Rule(
        code="unknown-base",
        severity=STOP,
        text='"{base}" cannot be the base of a material: {reason}',
        mend="name an installed material, or a file by a path that starts from this file's folder",
        about="The material that another one is based on cannot be found.",
    ),
    Rule(
        code="base-goes-round",
        severity=STOP,
        text="the material is based on itself: {chain}",
        mend="take one based_on away",
        about="A ring of files each laid over the next has no bottom.",
    ),
    Rule(
        code="figure-out-of-range",
        severity=STOP,
        text="{key} should be {due}, not {found}",
        mend="check the figure and its unit: lengths are mm",
        about="A figure that no paper and no tool can have, most often a slip of the unit.",
    ),
    Rule(
        code="no-basis",
        severity=STOP,
        text="{key} is empty",
        mend="say what the figure rests on: a measurement, a source, or common practice",
        about="A figure is only as good as what it rests on.",
    ),
    Rule(
        code="bridges-overlap",
        severity=STOP,
        text="bridges of {length} mm every {pitch} mm leave nothing to cut",
        mend="make the pitch longer than the length",
        about="The pitch of bridges counts from the start of one to the start of the next.",
    ),
    Rule(
        code="unsuitable-work",
        severity=STOP,
        text='{key} should be {due}, not "{found}"',
        mend="choose one of these",
        about="A score is neither drawn nor cut through, and a slit is not creased.",
    ),
    Rule(
        code="dashes-need-half-cut",
        severity=STOP,
        text='{key} is for scores of the work "half-cut", not "{found}"',
        mend='write work = "half-cut", or take the dashes out',
        about="Dashes are burned into the surface; a perforation has cuts and ties of its own.",
    ),
    Rule(
        code="no-rhythm",
        severity=STOP,
        text="the score is perforated, but there is no perforation",
        mend="add [tool.{tool}.perforation] with cut and tie",
        about="A perforated score needs the lengths of its cuts and ties.",
    ),
    Rule(
        code="unknown-tool",
        severity=STOP,
        text='there is no tool "{found}"',
        mend="use one of {known}, or take the table out",
        about="A material speaks of hand, knife and laser; another way of cutting needs one of "
        "these, with its own kerf and cautions.",
    ),
    Rule(
        code="no-tool-way",
        severity=STOP,
        text='the material "{material}" has nothing for the tool "{tool}"',
        mend="{hint}",
        about="A profile speaks only of the tools it was made for.",
    ),
    Rule(
        code="refused-tool",
        severity=STOP,
        text='the material "{material}" is not for the tool "{tool}": {reason}',
        mend="{hint}",
        about="A profile can refuse a tool and say why.",
    ),
    Rule(
        code="unknown-make-up",
        severity=STOP,
        text='it is not known what the material "{material}" is made of ({told}), so it is not '
        "written for a laser",
        mend="cut it by hand or with a knife; or find out what it is made of and, if it is one of "
        'these, add the line made_of = "..." to its file: {known}',
        about="What burns without being known may give off poison; no option overrides this. A "
        "file of your own says itself what its sheet is made of: its base is another sheet.",
    ),
    Rule(
        code="harmful-fumes",
        severity=STOP,
        text='the material "{material}" ({told}) {harm}, so it is not written for a laser',
        mend="cut it by hand or with a knife, and never put it into a laser",
        about="Fumes that poison people or eat the machine; no option overrides this.",
    ),
    Rule(
        code="rim-leaves-no-room",
        severity=STOP,
        text="{first} and {second} leave nothing of a work area of {side}",
        mend="check the figures and their units: a bare number is mm",
        about="A machine works inside its rim; one without room is a slip of the pen.",
    ),
    Rule(
        code="machine-of-another-tool",
        severity=STOP,
        text='the machine "{machine}" works with the tool "{its_tool}", not "{tool}"',
        mend="use --tool {its_tool}, or the file of another machine",
        about="Kerf, scores and cautions follow the tool, so another tool's machine is a mistake.",
    ),
    Rule(
        code="no-amount",
        severity=STOP,
        text='{key} should be {due}, not "{found}"',
        mend="write the number and its unit",
        about="An amount may be written as on a packet or a gauge, with a unit beyond doubt.",
    ),
    Rule(
        code="pounds-without-grade",
        severity=STOP,
        text='{key} is "{found}", and pounds mean nothing without their grade: {weights}',
        mend="add the grade word that stands on the packet, or write g/m²",
        about="A pound of paper is the mass of 500 sheets of a size, and each grade has its own.",
    ),
    Rule(
        code="unknown-grade",
        severity=STOP,
        text='{key} is "{found}", and "{grade}" is no grade of paper with a basic size: {weights}',
        mend="write one of these grades, or g/m²",
        about="Card stock is sold by several grades; which one was weighed only its packet says.",
    ),
    Rule(
        code="points-of-what",
        severity=STOP,
        text='{key} is "{found}": a point is 0.001 in as a thickness of paper and 1/72 in among '
        "printers of type, and here it would be neither",
        mend="write mm or in",
        about="Points are taken for the caliper alone, where 12 pt is 0.012 in or 0.305 mm.",
    ),
    Rule(
        code="figure-within-kerf",
        severity=STOP,
        text="{key} is {found}, no more than the kerf of {kerf} ({kerf_at})",
        mend="make it longer than the kerf, or check the kerf",
        about="Cuts, dashes and holes are drawn smaller by the kerf, so that one as small as it "
        "has no length left; two burned lines nearer than it are one.",
    ),
    Rule(
        code="bridged-without-bridge",
        severity=STOP,
        text="{key} is true, but there is no bridge to leave",
        mend="add [tool.{tool}.bridge] with length, pitch and clear, or take bridged out",
        about="Slits that are bridged have the bridges of the outline.",
    ),
    Rule(
        code="ask-the-workshop",
        severity=STOP,
        text='the material "{material}" ({told}) {why}, so it is not written for a laser',
        mend="ask the workshop that has the laser what it takes; cut this by hand or with a knife",
        about="What lies on paper may flare, throw the beam back or give off fumes, and which of "
        "these sheets a workshop takes it alone can say; no option overrides this.",
    ),
)
