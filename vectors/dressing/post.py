"""This module holds a card in its envelope against the rules of services of the post.

The length of a letter is its longer side, its height the other.  The envelope adds its paper
to the thickness and to the mass.  Rules change: a verdict is as good as the day of its file.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from foldwright.profiles.post_rules import Fails, Measure, Rule, Service

from ..design.naming import nearest
from ..measures import Unit
from ..measures.exact import MEETS_MM
from ..problems import Place, Problem, problem
from ..proving import Proof
from ..proving.judging import millimetres
from ..proving.names import in_a_row
from .envelopes import USUAL_CALIPER_MM, USUAL_GRAMMAGE, EnvelopeAnswer
from .wording import size_text


class Verdict(StrEnum):
    """What a service says of a letter."""

    GOOD = "good"
    SURCHARGE = "surcharge"
    NO = "no"


@dataclass(frozen=True, kw_only=True, slots=True)
class Letter:
    """A filled envelope: mm and g; `unevenness_mm` is by how much its thickness varies."""

    length_mm: float
    height_mm: float
    thickness_mm: float
    mass_g: float
    unevenness_mm: float = 0.0

    @property
    def measures(self) -> Mapping[Measure, float]:
        """All that a rule may be about."""
        return {
            Measure.LENGTH: self.length_mm,
            Measure.HEIGHT: self.height_mm,
            Measure.THICKNESS: self.thickness_mm,
            Measure.MASS: self.mass_g,
            Measure.RATIO: self.length_mm / self.height_mm,
            Measure.SUM: self.length_mm + self.height_mm + self.thickness_mm,
            Measure.UNEVENNESS: self.unevenness_mm,
        }


@dataclass(frozen=True, kw_only=True, slots=True)
class Failure:
    """A rule that a letter breaks: `too` small or large, and by how much in its unit."""

    measure: Measure
    by: float
    too: str
    fails: Fails

    def text(self, units: Unit) -> str:
        """It in words, `length too large by 1.1 mm`; lengths are in `units`."""
        if self.measure.unit == "mm":
            by = size_text(self.by, units)
        elif self.measure is Measure.RATIO:
            by = millimetres(self.by)
        else:
            by = f"{millimetres(self.by)} {self.measure.unit}"
        return f"{self.measure} too {self.too} by {by}"


@dataclass(frozen=True, kw_only=True, slots=True)
class Answer:
    """What one service says of a letter."""

    service: Service
    failures: tuple[Failure, ...]

    @property
    def verdict(self) -> Verdict:
        """The worst that any of its rules says."""
        kinds = {failure.fails for failure in self.failures}
        if Fails.NO in kinds:
            return Verdict.NO
        return Verdict.SURCHARGE if kinds else Verdict.GOOD


@dataclass(frozen=True, kw_only=True, slots=True)
class PostAnswer:
    """What the post says of a card: the letter, None where not all of it is known; the services."""

    letter: Letter | None
    answers: tuple[Answer, ...]
    findings: tuple[Problem, ...]


def post_of(
    proof: Proof,
    envelope: EnvelopeAnswer | None,
    services: Sequence[Service],
    file: str = "the rules that ship",
) -> PostAnswer:
    """What services say of the card of a proof in its envelope; `file` is what theirs is called."""
    limits = proof.resolved.limits
    asked = () if limits is None else limits.post
    place = None if limits is None else limits.place
    found: list[Problem] = []
    names = [service.name for service in services]
    for name in asked:
        if name not in names:
            hint = nearest(name, names, "service")
            found.append(problem("unknown-service", place=place, name=name, file=file, hint=hint))
    if envelope is None or envelope.inside_mm is None:
        if asked:
            no_size = envelope is not None
            found.append(
                problem(
                    "post-without-envelope",
                    place=place,
                    why=" that takes it" if no_size else "",
                    hint=" of another form" if no_size else "",
                )
            )
        return PostAnswer(letter=None, answers=(), findings=tuple(found))
    letter = letter_of(proof, envelope)
    if isinstance(letter, Problem):
        found.append(letter)
        return PostAnswer(letter=None, answers=(), findings=tuple(found))
    if envelope.assumed:
        found.append(
            problem(
                "envelope-paper-assumed",
                place=_place(proof),
                grammage=f"{USUAL_GRAMMAGE:g}",
                caliper=f"{USUAL_CALIPER_MM:g}",
            )
        )
    answers = tuple(answer_of(letter, service) for service in services)
    units = Unit(proof.resolved.units)
    for answer in answers:
        if answer.service.name in asked and answer.failures:
            code = "post-refuses" if answer.verdict is Verdict.NO else "post-surcharge"
            first = max(answer.failures, key=lambda one: one.fails is Fails.NO)
            found.append(
                problem(
                    code,
                    place=place,
                    measure_mm=first.by if first.measure.unit == "mm" else None,
                    service=answer.service.name,
                    fails=", ".join(one.text(units) for one in answer.failures),
                    hint=_HINTS[first.measure],
                )
            )
    return PostAnswer(letter=letter, answers=answers, findings=tuple(found))


_HINTS = {
    Measure.LENGTH: "change the size of the card, or its clearance",
    Measure.HEIGHT: "change the size of the card, or its clearance",
    Measure.SUM: "make the card smaller",
    Measure.THICKNESS: "change the plies, the material, or the height of extras",
    Measure.MASS: "change the material, or leave out mats and extras",
    Measure.RATIO: "give the card other sides; a square is never within these",
    Measure.UNEVENNESS: "keep mats and extras low, or spread them",
}


def letter_of(proof: Proof, envelope: EnvelopeAnswer) -> Letter | Problem:
    """The filled envelope, or what is not known of it."""
    closed, stack = proof.closed, proof.closed_stack
    thickness = None if closed is None else closed.thickness_mm
    mass = None if closed is None else closed.mass_g
    paper = envelope.ply_mm is None or envelope.mass_g is None
    lacks = [
        word
        for word, missing in (
            ("its thickness", thickness is None),
            ("its mass", mass is None),
            ("the paper of its envelope", paper),
        )
        if missing
    ]
    if (
        lacks
        or thickness is None
        or mass is None
        or envelope.ply_mm is None
        or envelope.mass_g is None
        or envelope.inside_mm is None
    ):
        return problem(
            "post-not-judged",
            place=_place(proof),
            what=in_a_row(lacks),
            is_="is" if len(lacks) == 1 else "are",
            hint="give the card a material, and its extras height and mass"
            if thickness is None or mass is None
            else "name the stock of [envelope], or give a material with --material",
        )
    # Walls stand outside of the pocket.
    long, short = envelope.inside_mm
    deep = max(thickness, envelope.depth_mm)
    uneven = 0.0
    if stack is not None:
        heights = [cell.known_mm for cell in stack.thickness.cells if cell.panels]
        points = [cell.known_mm for cell in stack.thickness.points]
        uneven = max([*heights, *points], default=0.0) - min(heights, default=0.0)
    return Letter(
        length_mm=long,
        height_mm=short,
        thickness_mm=deep + envelope.plies * envelope.ply_mm,
        mass_g=mass + envelope.mass_g,
        unevenness_mm=uneven,
    )


def _place(proof: Proof) -> Place | None:
    asked = proof.resolved.envelope
    return None if asked is None else asked.place


def answer_of(letter: Letter, service: Service) -> Answer:
    """What a service says of a letter: every rule that it breaks, and by how much."""
    failures = (
        failure
        for rule in service.rules
        for failure in _failures(rule, letter.measures, service.tolerance_mm)
    )
    return Answer(service=service, failures=tuple(failures))


def _failures(
    rule: Rule, measures: Mapping[Measure, float], tolerance_mm: float
) -> Iterator[Failure]:
    if rule.if_over and all(_slack(measures[one], most) for one, most in rule.if_over.items()):
        return
    if rule.measure is Measure.LARGER:
        # The rule is met where any is passed; else the one that is nearest is told.
        if all(_slack(measures[one], most) for one, most in rule.larger_than.items()):
            nearest_one = min(
                rule.larger_than, key=lambda one: 1.0 - measures[one] / rule.larger_than[one]
            )
            by = rule.larger_than[nearest_one] - measures[nearest_one]
            yield Failure(measure=nearest_one, by=by, too="small", fails=rule.fails)
        return
    value = measures[rule.measure]
    slack = tolerance_mm if rule.measure in (Measure.LENGTH, Measure.HEIGHT) else 0.0
    if rule.least is not None and not _slack(rule.least - slack, value):
        yield Failure(measure=rule.measure, by=rule.least - value, too="small", fails=rule.fails)
    if rule.most is not None and not _slack(value, rule.most + slack):
        yield Failure(measure=rule.measure, by=value - rule.most, too="large", fails=rule.fails)


def _slack(low: float, high: float) -> bool:
    """Whether one is no more than the other but for rounding."""
    return low <= high + MEETS_MM * 1e-3
