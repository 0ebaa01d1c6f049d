"""This module is the pass that scores a fold twice, `shift` mm to either side of it.

Thick stock bends round its own thickness, which takes two lines.  They run
parallel to the fold, round its arcs concentric, and end square where the single
score would.  Where folds meet, each line is joined to the next one on its side
like the kerbs of two streets at a corner: no line enters the strip between the
two of another fold, where the paper would be scored crosswise and break, and
no fold needs to come before another.  Where a cut crosses the strip, as a slit
does that ends on the fold, the line on that side keeps the inset from it.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import combinations

from foldwright.profiles.model import ScoreWay

from ..drawing import Drawing, Role, Stroke
from ..geometry import Path, Point, Segment, path_of
from ..geometry.boxes import overlapping
from ..geometry.meetings import Meeting, meetings
from ..geometry.offset import MITRE_LIMIT
from ..geometry.parallel import apart, beside, between, carriers_cross, travelled
from ..measures.exact import MEETS_MM, ROUNDING_MM
from ..panels.faces import contains
from ..problems import Problem
from .fold_network import Network, Ray, network
from .inset import MOST_INSETS
from .job import Job, Passed
from .strokes import place_of
from .wording import mm, written

# Two edges within this angle of straight on are one line, in radians.
_STRAIGHT_RAD = 1e-6

# A panel between two double scores must be wider than so many shifts: one that is
# narrower than a pair folds like one; reasoned, no source.
_LEAST_SHIFTS = 2.0


# For the names of two folds, the places where they meet and how far about each of
# them they are near each other as they must.
_Tips = dict[frozenset[str], list[tuple[Point, float]]]


@dataclass(frozen=True, slots=True)
class _Line:
    """What is left of one line beside an edge.

    `carrier` is the whole line beside the edge's segment; `joined` where it runs
    on into the next edge of the same score.
    """

    edge: int
    carrier: Segment
    start: Point
    end: Point
    joined: bool


@dataclass(frozen=True, slots=True)
class _Trouble:
    """Why a fold is not scored twice: where, how much is left, and with which other fold."""

    at: Point
    away: float
    other: int | None = None


def double(drawing: Drawing, job: Job) -> Passed:
    """The drawing with two scores for each fold where the profile gives a shift.

    A fold whose lines have no room, or come too near to those of another one,
    keeps its single score, and is told.
    """
    score = job.way.score
    folds = [index for index, stroke in enumerate(drawing.strokes) if stroke.role is Role.FOLD]
    if score is None or score.shift.value == 0.0 or not folds:
        return Passed(drawing)
    strokes = [drawing.strokes[index] for index in folds]
    streets = _Streets(strokes, score.shift.value, _meeting(job, score.shift.value))
    cuts, paper = _cuts(drawing, job), _Paper(job)
    troubles: dict[int, _Trouble] = {}
    while True:
        lines = _settled(streets, troubles)
        made: dict[int, list[Stroke]] = {}
        found: dict[int, _Trouble] = {}
        for number, (index, stroke) in enumerate(zip(folds, strokes, strict=True)):
            if number in troubles:
                continue
            left, right = (_paths(lines[number, side], stroke.path) for side in (1, -1))
            # The second line is run back, so that the tool has no way to go in between.
            sides = left, [path.reversed for path in reversed(right)]
            kept = [
                [part for path in paths for part in _off_cuts(path, cuts, score.inset.value, paper)]
                for paths in sides
            ]
            if not all(kept):
                # One of the two lies beside the paper, or keeps off cuts all the way.
                whole = stroke.path.length
                middle = stroke.path.stretch(0.0, whole / 2.0).end
                found[number] = _Trouble(middle, whole)
            made[index] = [replace(stroke, path=path) for parts in kept for path in parts]
        if not found:
            break
        troubles.update(found)
    doubled = [
        line for index, stroke in enumerate(drawing.strokes) for line in made.get(index, [stroke])
    ]
    findings = [
        _finding(job, score, strokes, number, trouble)
        for number, trouble in sorted(troubles.items(), key=lambda pair: pair[0])
        if not _is_told(number, trouble, troubles)
    ]
    return Passed(drawing.with_strokes(tuple(doubled)), tuple(findings))


def _settled(
    streets: _Streets, troubles: dict[int, _Trouble]
) -> dict[tuple[int, int], list[_Line]]:
    """The lines of all folds but those in trouble; adds those that come into some."""
    while True:
        lines, found = streets.lines(set(troubles))
        if not found:
            found = streets.too_near(lines, set(troubles))
        if not found:
            return lines
        troubles.update(found)


def _is_told(number: int, trouble: _Trouble, troubles: dict[int, _Trouble]) -> bool:
    """Whether the trouble of two folds is told with the first of them."""
    other = trouble.other
    return other is not None and other < number and troubles[other].other == number


class _Streets:
    """The network of all folds, each a street between two lines."""

    def __init__(self, strokes: list[Stroke], shift: float, meeting: _Tips) -> None:
        self._strokes = strokes
        self._shift = shift
        self._meeting = meeting
        self._net: Network = network([stroke.path for stroke in strokes])

    def lines(
        self, single: set[int]
    ) -> tuple[dict[tuple[int, int], list[_Line]], dict[int, _Trouble]]:
        """The lines left (1) and right (-1) of each fold that is not `single`, and the troubles."""
        used: set[tuple[int, int]] = set()
        while True:
            found: dict[tuple[int, int], list[_Line]] = {}
            troubles: dict[int, _Trouble] = {}
            up: set[tuple[int, int]] = set()
            for index, edge in enumerate(self._net.edges):
                for side in (1, -1):
                    if edge.score in single or (index, side) in used:
                        continue
                    line = self._line(index, side, single, used)
                    if not isinstance(line, _Trouble):
                        found.setdefault((edge.score, side), []).append(line)
                    elif self._is_used_up(index, side, used | up):
                        up.add((index, side))
                    else:
                        troubles.setdefault(edge.score, line)
            if not up:
                break
            used |= up
        # Of a score that is used up whole on one side nothing is left.
        for edge in self._net.edges:
            if edge.score not in single and any((edge.score, s) not in found for s in (1, -1)):
                trouble = _Trouble(edge.segment.middle, edge.segment.length)
                troubles.setdefault(edge.score, trouble)
        return found, troubles

    def _is_used_up(self, index: int, side: int, used: set[tuple[int, int]]) -> bool:
        """Whether a line that has no room lies at a corner with another fold, and one goes on.

        Of a fold that curves in short steps the first few end before the corner;
        the corner is then that of the step beyond them.
        """
        score = self._net.edges[index].score
        for first, after in ((True, index + 1), (False, index - 1)):
            corner = self._turn(index, side, first, used)
            if corner is None or self._net.edges[corner[0].edge].score == score:
                continue
            if (
                0 <= after < len(self._net.edges)
                and self._net.edges[after].score == score
                and (after, side) not in used
            ):
                beyond = self._turn(index, side, not first, used)
                if beyond is not None and beyond[0].edge == after:
                    return True
        return False

    def _turn(
        self, index: int, side: int, first: bool, used: set[tuple[int, int]]
    ) -> tuple[Ray, float, int] | None:
        """The next ray on one side of an edge at one of its ends, the angle to it, and the node.

        Where the edge before it along the same score is used up on that side, it is
        the ray at the far end of that one.
        """
        # What lies to the left along the edge lies to the right from its far end.
        turning = self._net.next_left if (side > 0) is first else self._net.next_right
        step = -1 if first else 1
        while True:
            corner = turning(index, first=first)
            if corner is None:
                return None
            ray, turn = corner
            if ray.edge == index + step and ray.first is not first and (ray.edge, side) in used:
                index = ray.edge
                continue
            edge = self._net.edges[index]
            return ray, turn, edge.start if first else edge.end

    def _line(
        self, index: int, side: int, single: set[int], used: set[tuple[int, int]]
    ) -> _Line | _Trouble:
        edge = self._net.edges[index]
        carrier = beside(edge.whole, side * self._shift)
        if carrier is None:
            return _Trouble(edge.segment.middle, 0.0)
        part = beside(edge.segment, side * self._shift)
        ends: list[Point] = []
        joined = False
        for first in (True, False):
            square = edge.segment.start if first else edge.segment.end
            if part is not None:
                square = part.start if first else part.end
            turn = self._turn(index, side, first, used)
            at = None if turn is None else self._corner(carrier, turn, side, first, single, used)
            ends.append(square if at is None else at)
            if not first and turn is not None:
                straight = abs(turn[1] - math.pi) <= _STRAIGHT_RAD
                joined = (at is not None or straight) and self._follows(index, turn[0])
        length = travelled(carrier, ends[1]) - travelled(carrier, ends[0])
        if length <= MEETS_MM:
            return _Trouble(edge.segment.middle, edge.segment.length)
        return _Line(index, carrier, ends[0], ends[1], joined)

    def _follows(self, index: int, ray: Ray) -> bool:
        """Whether a ray is the start of the edge that follows along the same score."""
        edges = self._net.edges
        score = edges[index].score
        after = index + 1
        if after == len(edges) or edges[after].score != score:
            after = next(i for i, edge in enumerate(edges) if edge.score == score)
        return ray.first and ray.edge == after

    def _corner(
        self,
        carrier: Segment,
        corner: tuple[Ray, float, int],
        side: int,
        first: bool,
        single: set[int],
        used: set[tuple[int, int]],
    ) -> Point | None:
        """Where a line meets the next one at a node; None where it ends square."""
        ray, turn, node = corner
        if abs(turn - math.pi) <= _STRAIGHT_RAD:
            return None
        other = self._net.edges[ray.edge]
        place = self._net.places[node]
        if other.score in single:
            # It runs up to the only line of the other one, and never past its end.
            if turn > math.pi:
                return None
            return carriers_cross(carrier, other.whole, place)
        # Seen from the node the line beside the one edge faces that beside the other.
        outwards = side if first else -side
        facing = -outwards if ray.first else outwards
        step, number = (1 if ray.first else -1), ray.edge
        while (number, facing) in used:
            # There is one that goes on, or the last would not have been used up.
            number += step
        other = self._net.edges[number]
        beyond = beside(other.whole, facing * self._shift)
        at = None if beyond is None else carriers_cross(carrier, beyond, place)
        if turn > math.pi and at is not None and at.distance(place) > MITRE_LIMIT * self._shift:
            # Too sharp to be run on until they meet: both end square.
            return None
        return at

    def too_near(
        self, lines: dict[tuple[int, int], list[_Line]], single: set[int]
    ) -> dict[int, _Trouble]:
        """The folds whose lines leave too narrow a panel between them, or cross."""
        drawn = [
            (score, between(line.carrier, line.start, line.end))
            for (score, _), here in lines.items()
            for line in here
        ]
        drawn += [(edge.score, edge.segment) for edge in self._net.edges if edge.score in single]
        least = _LEAST_SHIFTS * self._shift
        found: dict[int, _Trouble] = {}
        for i, j in overlapping([segment.box() for _, segment in drawn], least):
            (a, first), (b, second) = drawn[i], drawn[j]
            names = frozenset(self._strokes[score].source for score in (a, b))
            if len(names) == 1 or (a in single and b in single):
                continue
            crossing = [at for at in meetings(first, second, MEETS_MM) if isinstance(at, Meeting)]
            away, at = (0.0, crossing[0].at) if crossing else apart(first, second)
            if away >= least - ROUNDING_MM:
                continue
            if any(at.distance(place) <= reach for place, reach in self._meeting.get(names, [])):
                continue
            for score, other in ((a, b), (b, a)):
                if score not in single and (score not in found or found[score].away > away):
                    found[score] = _Trouble(at, away, other)
        return found


def _meeting(job: Job, shift: float) -> _Tips:
    """For two folds that meet where they do, and how far from there they are near each other.

    At an acute angle the panel between them narrows to a tip, as it must.
    """
    folds = job.piece.folds
    net = network([fold.path.rounded() for fold in folds])
    found: _Tips = {}
    for place, rays in zip(net.places, net.rays, strict=True):
        for first, second in combinations(rays, 2):
            names = tuple(folds[net.edges[ray.edge].score].name for ray in (first, second))
            turn = abs((first.angle - second.angle + math.pi) % (2.0 * math.pi) - math.pi)
            # So far from there the panel between the two strips has its least width.
            reach = (1.0 + _LEAST_SHIFTS / 2.0) * shift / max(math.sin(turn / 2.0), 1e-6)
            found.setdefault(frozenset(names), []).append((place, reach + _LEAST_SHIFTS * shift))
    return found


def _paths(lines: list[_Line], single: Path) -> list[Path]:
    """The lines of one side of a fold, joined into as few paths as there are."""
    runs: list[list[_Line]] = []
    for line in lines:
        if runs and runs[-1][-1].joined:
            runs[-1].append(line)
        else:
            runs.append([line])
    closed = single.closed and lines[-1].joined
    if closed and len(runs) > 1:
        # The last run goes on over the first vertex.
        runs = [[*runs[-1], *runs[0]], *runs[1:-1]]
        closed = False
    return [_path(run, closed) for run in runs]


def _path(run: list[_Line], closed: bool) -> Path:
    segments: list[Segment] = []
    carriers: list[Segment] = []
    for line in run:
        start = segments[-1].end if segments else line.start
        if carriers and carriers[-1] == line.carrier:
            # Only parted where another fold ends on the other side.
            start = segments.pop().start
            carriers.pop()
        segments.append(between(line.carrier, start, line.end))
        carriers.append(line.carrier)
    return path_of(segments, closed)


class _Paper:
    """Where there is paper: within the outline and in no opening."""

    def __init__(self, job: Job) -> None:
        self._outline = job.piece.outline
        self._openings = [(opening.path, opening.path.box()) for opening in job.piece.openings]

    def holds(self, path: Path) -> bool:
        """Whether a path that crosses no edge lies on the paper."""
        at = path.stretch(0.0, path.length / 2.0).end
        x, y = at.floats()
        return contains(self._outline, at) and not any(
            left <= x <= right and bottom <= y <= top and contains(opening, at)
            for opening, (left, bottom, right, top) in self._openings
        )


def _cuts(drawing: Drawing, job: Job) -> list[Segment]:
    """The segments of all cuts."""
    paths = [stroke.path for stroke in drawing.strokes if stroke.role in (Role.SLIT, Role.RELIEF)]
    paths += [opening.path.rounded() for opening in job.piece.openings]
    paths.append(job.piece.outline.rounded())
    return [segment for path in paths for segment in path.segments if segment.chord > 0.0]


def _off_cuts(path: Path, cuts: list[Segment], inset: float, paper: _Paper) -> list[Path]:
    """What is left on the paper of a line that keeps the inset from the cuts that run into it."""
    length = path.length
    gaps = _gaps(path, cuts, inset)
    if path.closed and gaps:
        first = gaps[0][1]
        opened = path.stretch(first % length, first % length + length - (gaps[0][1] - gaps[0][0]))
        if len(gaps) > 1:
            return _off_cuts(opened, cuts, inset, paper)
        return [opened] if paper.holds(opened) else []
    kept = [path] if not gaps else []
    reached = 0.0
    for low, high in (*gaps, (length, length)) if gaps else ():
        if low - reached > MEETS_MM:
            kept.append(path.stretch(reached, low))
        reached = max(reached, high)
    return [part for part in kept if paper.holds(part)]


def _gaps(path: Path, cuts: list[Segment], inset: float) -> list[tuple[float, float]]:
    """The stretches of a line that are too near to a cut that crosses it, in order."""
    whole = list(path.segments)
    passed = [0.0]
    for segment in whole:
        passed.append(passed[-1] + segment.length)
    boxes = [segment.box() for segment in whole] + [cut.box() for cut in cuts]
    found: list[tuple[float, float]] = []
    for i, j in overlapping(boxes, MEETS_MM):
        if not i < len(whole) <= j:
            continue
        segment, cut = whole[i], cuts[j - len(whole)]
        for met in meetings(segment, cut, MEETS_MM):
            if not isinstance(met, Meeting):
                continue
            at = passed[i] + met.first * segment.length
            way, other = segment.direction(met.first), cut.direction(met.second)
            wide = min(inset / max(abs(float(way.cross(other))), 1e-9), MOST_INSETS * inset)
            found.append((at - wide, at + wide))
    joined: list[tuple[float, float]] = []
    for low, high in sorted(found):
        if joined and low <= joined[-1][1] + MEETS_MM:
            joined[-1] = (joined[-1][0], max(high, joined[-1][1]))
        else:
            joined.append((low, high))
    return joined


def _finding(
    job: Job, score: ScoreWay, strokes: list[Stroke], number: int, trouble: _Trouble
) -> Problem:
    stroke = strokes[number]
    told = {
        "at": trouble.at.floats(),
        "place": place_of(job.piece, Role.FOLD, stroke.source),
        "measure_mm": trouble.away,
        "piece_name": job.piece.name,
        "line": stroke.source,
        "away": mm(trouble.away),
        "shift": mm(score.shift.value),
        "written": written(score.shift),
    }
    make: Callable[..., Problem] = job.problem
    if trouble.other is None:
        return make("double-score-no-room", **told)
    return make("double-scores-too-near", other=strokes[trouble.other].source, **told)
