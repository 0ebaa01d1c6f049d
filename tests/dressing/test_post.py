"""The post: published limits at their very edge, classes of envelopes, and cards in envelopes."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from foldwright.dressing.envelopes import envelope_of
from foldwright.dressing.post import Letter, PostAnswer, Verdict, answer_of, letter_of, post_of
from foldwright.measures import Unit
from foldwright.problems import Problem
from foldwright.profiles.post_rules import GRAMS, Fails, Measure, Rule, Service, shipped_services
from foldwright.proving import Proof
from tests.dressing.envelope_designs import card

HERE = Path(__file__).parents[1] / "published"
SERVICES = {service.name: service for service in shipped_services()}
FACTS: dict[str, Any] = {
    fact["id"]: fact["value"]
    for fact in tomllib.loads((HERE / "post.toml").read_text(encoding="utf-8"))["fact"]
}
ENVELOPES = tomllib.loads((HERE / "envelopes.toml").read_text(encoding="utf-8"))
SIZES: dict[str, Any] = {fact["id"]: fact["value"] for fact in ENVELOPES["fact"]}
IN = 25.4
OZ = float(GRAMS["oz"])

# A letter that every service takes.
PLAIN = Letter(length_mm=160, height_mm=114, thickness_mm=1, mass_g=15)


def verdict(service: str, letter: Letter) -> Verdict:
    return answer_of(letter, SERVICES[service]).verdict


def edges() -> list[tuple[str, Letter, str, float, Verdict]]:
    """Service, a letter, the field at its limit, the limit from the outside, what lies past it."""
    us, flat, uk = FACTS["M01"], FACTS["M11"], FACTS["M20"]
    post, standard, ca = FACTS["M30"], FACTS["M31"], FACTS["M32"]
    no, extra = Verdict.NO, Verdict.SURCHARGE
    wide = replace(PLAIN, length_mm=270, height_mm=150)
    large = replace(PLAIN, length_mm=300, height_mm=230)
    short = replace(PLAIN, length_mm=140, height_mm=100)
    low = replace(PLAIN, height_mm=100)
    off = post["tolerance"]
    return [
        ("us-letter", replace(wide, height_mm=120), "length_mm", us["max_length"] * IN, no),
        ("us-letter", replace(PLAIN, length_mm=210), "height_mm", us["max_height"] * IN, no),
        ("us-letter", PLAIN, "thickness_mm", us["max_thickness"] * IN, no),
        ("us-letter", replace(PLAIN, height_mm=95), "length_mm", -us["min_length"] * IN, no),
        ("us-letter", replace(PLAIN, length_mm=140), "height_mm", -us["min_height"] * IN, no),
        ("us-letter", short, "thickness_mm", -us["min_thickness"] * IN, no),
        ("us-letter", PLAIN, "thickness_mm", -FACTS["M02"] * IN, extra),
        ("us-letter", PLAIN, "mass_g", FACTS["M03"]["letter_oz"] * OZ, no),
        ("us-letter", low, "length_mm", 100 * FACTS["M05"]["max"], extra),
        ("us-letter", low, "length_mm", -100 * FACTS["M05"]["min"], extra),
        ("us-large-envelope", large, "length_mm", flat["max_length"] * IN, no),
        ("us-large-envelope", large, "height_mm", flat["max_height"] * IN, no),
        ("us-large-envelope", large, "thickness_mm", flat["max_thickness"] * IN, no),
        ("us-large-envelope", large, "mass_g", FACTS["M03"]["first_class_oz"] * OZ, no),
        ("us-large-envelope", large, "unevenness_mm", FACTS["M12"] * IN, no),
        ("uk-letter", PLAIN, "length_mm", uk["letter"][0], no),
        ("uk-letter", replace(PLAIN, length_mm=200), "height_mm", uk["letter"][1], no),
        ("uk-letter", PLAIN, "thickness_mm", uk["letter"][2], no),
        ("uk-letter", PLAIN, "mass_g", uk["letter_g"], no),
        ("uk-large-letter", PLAIN, "length_mm", uk["large"][0], no),
        ("uk-large-letter", large, "height_mm", uk["large"][1], no),
        ("uk-large-letter", PLAIN, "thickness_mm", uk["large"][2], no),
        ("uk-large-letter", PLAIN, "mass_g", uk["large_g"], no),
        ("ca-letter", PLAIN, "length_mm", ca["max"][0], no),
        ("ca-letter", PLAIN, "length_mm", -ca["min"][0], no),
        ("ca-letter", PLAIN, "height_mm", ca["max"][1], no),
        ("ca-letter", PLAIN, "height_mm", -ca["min"][1], no),
        ("ca-letter", PLAIN, "thickness_mm", ca["max"][2], no),
        ("ca-letter", PLAIN, "thickness_mm", -ca["min"][2], no),
        ("ca-letter", PLAIN, "mass_g", ca["weight_g"][1], no),
        ("ca-letter", PLAIN, "mass_g", -ca["weight_g"][0], no),
        ("ca-other-letter", large, "length_mm", ca["other_max"][0], no),
        ("ca-other-letter", large, "height_mm", ca["other_max"][1], no),
        ("ca-other-letter", large, "thickness_mm", ca["other_max"][2], no),
        ("ca-other-letter", large, "mass_g", ca["other_g"], no),
        ("international-letter", PLAIN, "length_mm", post["side_max"] + off, no),
        ("international-letter", PLAIN, "length_mm", -(post["face_min"][1] - off), no),
        ("international-letter", PLAIN, "height_mm", -(post["face_min"][0] - off), no),
        ("international-letter", replace(PLAIN, length_mm=500), "height_mm",
         post["sum_max"] - 501, no),
        ("international-letter", PLAIN, "mass_g", post["weight_kg"] * 1000, no),
        ("international-standard-letter", PLAIN, "length_mm", standard["max"][1] + off, no),
        ("international-standard-letter", replace(PLAIN, length_mm=200), "height_mm",
         standard["max"][0] + off, no),
        ("international-standard-letter", PLAIN, "thickness_mm", standard["thickness"], no),
        ("international-standard-letter", PLAIN, "mass_g", standard["weight_g"], no),
        ("international-standard-letter", replace(PLAIN, height_mm=110), "length_mm",
         -110 * standard["ratio"], no),
    ]  # fmt: skip


@pytest.mark.parametrize(("service", "letter", "field", "limit", "past"), edges())
def test_published_limits(
    service: str, letter: Letter, field: str, limit: float, past: Verdict
) -> None:
    """At the limit it is good, a twentieth past it not; negative limits are least ones."""
    sign = 1.0 if limit > 0 else -1.0
    at, beyond = abs(limit), abs(limit) + sign * 0.05 * (1 if abs(limit) > 1 else abs(limit))
    assert verdict(service, replace(letter, **{field: at})) is Verdict.GOOD
    assert verdict(service, replace(letter, **{field: beyond})) is past


@pytest.mark.parametrize("case", ENVELOPES["classes"]["cases"], ids=lambda case: case["name"])
def test_the_class_of_a_face(case: dict[str, Any]) -> None:
    """The first service that takes it, by size alone: thickness and mass are good everywhere."""
    long, short = case["face_mm"]
    letter = replace(PLAIN, length_mm=long, height_mm=short)
    for country, services in (
        ("us", ("us-letter", "us-large-envelope")),
        ("uk", ("uk-letter", "uk-large-letter")),
    ):
        found = ((name, verdict(name, letter)) for name in services)
        taken = next((one for one in found if one[1] is not Verdict.NO), None)
        words = "" if taken is None else taken[0]
        if taken is not None and taken[1] is Verdict.SURCHARGE:
            words += " surcharge"
        assert words == case[country]


@pytest.mark.parametrize(
    ("name", "sides"),
    [("A1", (5.125, 3.625)), ("A2", (5.75, 4.375)), ("A7", (7.25, 5.25)), ("No10", (9.5, 4.125)),
     ("DL", (220, 110)), ("C6", (162, 114))],
)  # fmt: skip
def test_ratios(name: str, sides: tuple[float, float]) -> None:
    letter = replace(PLAIN, length_mm=sides[0], height_mm=sides[1])
    assert letter.measures[Measure.RATIO] == pytest.approx(SIZES["M40"][name], abs=6e-5)


def test_a_square_costs_more_and_a_small_one_is_refused() -> None:
    square = replace(PLAIN, length_mm=FACTS["M09"] * IN, height_mm=FACTS["M09"] * IN)
    assert verdict("us-letter", square) is Verdict.SURCHARGE
    assert verdict("us-letter", replace(square, length_mm=126, height_mm=126)) is Verdict.NO


def test_a_rule_says_by_how_much() -> None:
    """A 6 1/2 in square is 165.1 mm, 0.1 mm over the UK letter limit of 165 mm."""
    found = answer_of(replace(PLAIN, length_mm=6.5 * IN, height_mm=6.5 * IN), SERVICES["uk-letter"])
    (failure,) = found.failures
    assert (failure.measure, failure.too, failure.measure.unit) == (Measure.HEIGHT, "large", "mm")
    assert failure.by == pytest.approx(0.1)
    assert failure.text(Unit.MM) == "height too large by 0.1 mm"
    assert failure.text(Unit.IN) == "height too large by 0.004 in"


def test_a_heavy_letter_is_a_large_envelope() -> None:
    heavy = replace(PLAIN, mass_g=4 * OZ)
    assert verdict("us-letter", heavy) is Verdict.NO
    assert verdict("us-large-envelope", heavy) is Verdict.GOOD
    (failure,) = answer_of(PLAIN, SERVICES["us-large-envelope"]).failures
    assert (failure.fails, failure.too) == (Fails.NO, "small")


def test_a_rule_holds_only_where_it_is_bound_to() -> None:
    small = replace(PLAIN, length_mm=150, height_mm=105, thickness_mm=0.008 * IN)
    assert verdict("us-letter", small) is Verdict.GOOD
    assert verdict("us-letter", replace(small, length_mm=153)) is Verdict.SURCHARGE


# Cards in their envelopes.


def post(proof: Proof, services: tuple[Service, ...] = shipped_services()) -> PostAnswer:
    return post_of(proof, envelope_of(proof), services)


def test_the_worked_masses() -> None:
    """A 5 x 7 in card of 80 lb cover weighs 9.77 g; with its A7 envelope it is under an ounce."""
    proof = card('form = "standard"', width="5", height="7", units="in", material="card-216")
    assert proof.closed is not None
    assert proof.closed.mass_g is not None
    assert proof.closed.mass_g == pytest.approx(SIZES["M41"]["card_g"], rel=2e-3)
    envelope = envelope_of(proof)
    assert envelope is not None
    assert envelope.mass_g is not None
    # 0.059 m² of 118.4 g/m² there, 120 g/m² here.
    paper = SIZES["M41"]["envelope_g_at_0_059m2"] * 120 / 118.4
    assert envelope.mass_g == pytest.approx(paper, rel=5e-3)
    letter = letter_of(proof, envelope)
    assert isinstance(letter, Letter)
    assert letter.mass_g == pytest.approx(proof.closed.mass_g + envelope.mass_g)
    assert letter.mass_g < OZ


def test_the_letter_is_card_and_envelope() -> None:
    proof = card('form = "square-blank"\nstock = "thin"', width="90", height="120")
    envelope = envelope_of(proof)
    assert envelope is not None
    letter = letter_of(proof, envelope)
    assert isinstance(letter, Letter)
    assert proof.closed is not None
    assert envelope.ply_mm is not None
    assert (letter.length_mm, letter.height_mm) == envelope.inside_mm
    assert letter.thickness_mm == pytest.approx(
        (proof.closed.thickness_mm or 0) + envelope.plies * envelope.ply_mm
    )
    assert letter.unevenness_mm == 0


def test_a_gem_makes_it_uneven() -> None:
    gem = '\n[[extra]]\non = "card/panel 1"\nat = [50, 50]\nsize = 8\nheight = 2.5\nmass = 1\n'
    found = post(card('form = "standard"', more=gem))
    assert found.letter is not None
    assert found.letter.unevenness_mm == pytest.approx(2.5)
    (us,) = [one for one in found.answers if one.service.name == "us-letter"]
    assert us.verdict is Verdict.SURCHARGE
    assert [one.measure for one in us.failures] == [Measure.UNEVENNESS]


def test_nothing_is_guessed() -> None:
    proof = card('form = "standard"', material="")
    found = post(proof)
    assert (found.letter, found.answers) == (None, ())
    (note,) = found.findings
    assert (note.rule, str(note.severity)) == ("post-not-judged", "note")
    assert "its thickness and its mass" in note.message
    own = card('form = "four-flap"')
    envelope = envelope_of(own)
    assert envelope is not None
    missing = letter_of(own, envelope)
    assert isinstance(missing, Problem)
    assert "the paper of its envelope is not known" in missing.message


def rules(found: PostAnswer) -> list[tuple[str, str]]:
    return [(one.rule, str(one.severity)) for one in found.findings]


def test_only_a_limit_makes_the_post_stop() -> None:
    square = {"width": "140", "height": "140"}
    free = post(card('form = "standard"', **square))
    assert Verdict.SURCHARGE in {one.verdict for one in free.answers}
    assert Verdict.NO in {one.verdict for one in free.answers}
    assert rules(free) == [("envelope-paper-assumed", "note")]
    asked = '\n[limits]\npost = ["us-letter", "uk-letter", "ca-letter"]\n'
    found = post(card('form = "standard"', more=asked, **square))
    assert rules(found) == [
        ("envelope-paper-assumed", "note"),
        ("post-surcharge", "warn"),
    ]
    large = post(card('form = "standard"', more=asked, width="160", height="160"))
    assert {rule for rule, _ in rules(large)} == {"envelope-paper-assumed", "post-refuses"}
    refusals = [one.message for one in large.findings if one.rule == "post-refuses"]
    assert [message.split('"')[1] for message in refusals] == [
        "ca-letter",
        "uk-letter",
        "us-letter",
    ]


def test_a_limit_needs_a_service_and_an_envelope() -> None:
    asked = '\n[limits]\npost = ["us-leter"]\n'
    (wrong, _) = post(card('form = "standard"', more=asked)).findings
    assert (wrong.rule, wrong.mend) == ("unknown-service", 'did you mean "us-letter"?')
    asked = '\n[limits]\npost = ["us-letter"]\n'
    for envelope, width in (('form = "none"', "105"), ('form = "standard"', "600")):
        proof = card(envelope, more=asked, width=width)
        assert ("post-without-envelope", "stop") in rules(post(proof))


def test_a_service_of_ones_own() -> None:
    thin = Service(
        name="thin",
        about="thin letters",
        dated="2026-01-01",
        rules=(Rule(measure=Measure.THICKNESS, most=0.5),),
    )
    found = post(card('form = "standard"'), (thin,))
    (answer,) = found.answers
    # Two plies of 0.23 mm, and three of 0.15 mm.
    assert answer.failures[0].by == pytest.approx(0.46 + 0.45 - 0.5)


def test_an_uneven_card_without_extras_is_not_told_of_extras_alone() -> None:
    found = post(
        card(
            'form = "standard"',
            more='\n[[mat]]\non = "card"\npanels = ["panel 1"]\nmargin = 30\nstock = "thin"\n'
            '\n[[extra]]\non = "card/panel 1"\nat = [50, 50]\nsize = 8\nheight = 2.5\nmass = 1\n'
            '\n[limits]\npost = ["us-letter"]\n',
        )
    )
    (told,) = [one for one in found.findings if one.rule == "post-surcharge"]
    assert told.mend == "keep mats and extras low, or spread them"
