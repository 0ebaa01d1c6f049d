"""This module works out the lines on panels that come to lie on each other: joints and touches."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from ..measures import Scope
from ..measures.exact import MEETS_MM
from ..problems import Collector
from .model import JointDraft, JointEndDraft, TouchDraft, TouchEndDraft
from .naming import called, find_panel
from .pieces import Face, Joint, JointEnd, Touch, TouchEnd
from .piecework import PieceWork, spot_text, told


class ContactWork:
    """The working out of joints and touches.

    `panels` has the named panels of each piece, `scopes` what its expressions
    may use.  What cannot be worked out is left out, and a problem that says why
    goes to `found`.
    """

    def __init__(
        self, panels: Mapping[str, Sequence[str]], scopes: Mapping[str, Scope], found: Collector
    ) -> None:
        self.panels = panels
        self.scopes = scopes
        self.found = found

    def joints(self, drafts: Sequence[JointDraft]) -> Iterator[Joint]:
        """The joints, in the order of the file."""
        for name, draft in zip(called("joint", drafts), drafts, strict=True):
            what = f'joint "{name}"'
            glue, to = self._joint_end(draft.glue, what), self._joint_end(draft.to, what)
            owner = find_panel(draft.glue.panel, self.panels)[0]
            slack = PieceWork(self.scopes[owner], self.found).positive(
                draft.slack, f"the slack of {what}", or_zero=True
            )
            if glue is not None and to is not None and slack is not None:
                yield Joint(name=name, glue=glue, to=to, slack=slack, place=draft.place)

    def touches(self, drafts: Sequence[TouchDraft], pose: str) -> Iterator[Touch]:
        """The touches of a pose, in the order of the file."""
        for name, draft in zip(called("touch", drafts), drafts, strict=True):
            what = f'{told("touch", name, draft.name)} of pose "{pose}"'
            line, to = self._end(draft, what), self._end(draft.to, what)
            if line is not None and to is not None:
                yield Touch(name=name, line=line, to=to, place=draft.place)

    def _joint_end(self, draft: JointEndDraft, what: str) -> JointEnd | None:
        end = self._end(draft, what)
        if end is None:
            return None
        return JointEnd(
            piece=end.piece, panel=end.panel, face=Face(draft.face), start=end.start, end=end.end
        )

    def _end(self, draft: JointEndDraft | TouchDraft | TouchEndDraft, what: str) -> TouchEnd | None:
        piece, panel = find_panel(draft.panel, self.panels)
        work = PieceWork(self.scopes[piece], self.found, piece)
        line = f'the line of {what} on "{piece}/{panel}"'
        ends = tuple(draft.line)
        if len(ends) != 2:
            work.tell("too-few-points", draft.place, what=line)
            return None
        start, end = work.spot(ends[0], f"end 1 of {line}"), work.spot(ends[1], f"end 2 of {line}")
        if start is None or end is None:
            return None
        if start.distance(end) <= MEETS_MM:
            where = spot_text(start)
            work.tell("repeated-point", draft.place, at=start, what=line, spot=where)
            return None
        return TouchEnd(piece=piece, panel=panel, start=start, end=end)
