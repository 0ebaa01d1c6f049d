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
)
