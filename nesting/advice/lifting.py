"""Lifting: how heavy is too heavy, and how many people it takes.

Revised NIOSH lifting equation (Waters et al., *Applications Manual*, DHHS (NIOSH) 94-110, revised 2021):
RWL = LC HM VM DM AM CM FM, in pounds and inches. It is for one person lifting with both hands, standing, on a good
floor; teams are counted by the factors of the British Health and Safety Executive.
"""

from dataclasses import dataclass
from typing import Literal

from nesting.advice.check import Check, Verdict, table_pounds
from nesting.base.measure import INCH, UnitSystem, inches
from nesting.base.rules import check_rules, rule

Coupling = Literal["good", "fair", "poor"]
Team = Literal["one person", "two people", "three people", "four people", "forks"]
_TEAMS: tuple[Team, ...] = ("one person", "two people", "three people", "four people")
LOAD_CONSTANT_LB = 51.0
"""Most that anyone should lift by hand in the best posture (NIOSH)."""


@dataclass(frozen=True, slots=True)
class LiftingRules:
    """Who lifts what."""

    one_person_lb: float = rule(
        50.0,
        unit="lb",
        low=10.0,
        high=75.0,
        doc="Heaviest crate that one person carries.",
        source="ASTM D6804 calls [[40 to 50 lb|18 to 23 kg]] typical",
    )
    one_person_longest: int = rule(
        48 * INCH,
        unit="length",
        low=24 * INCH,
        high=96 * INCH,
        doc="A crate longer than this takes two people, whatever it weighs.",
        source="common practice, no source",
    )
    forks_lb: float = rule(
        150.0,
        unit="lb",
        low=75.0,
        high=500.0,
        doc="From this weight a crate is moved with a jack or forks only.",
        source="trade practice of [[150 to 200 lb|68 to 91 kg]], from memory",
    )
    lift_to: int = rule(
        30 * INCH, unit="length", low=INCH, high=70 * INCH, doc="Height above the floor that a crate is lifted to."
    )

    def __post_init__(self) -> None:
        check_rules(self)


@dataclass(frozen=True, slots=True)
class Lift:
    """One lift, as the NIOSH equation sees it.

    Attributes
    ----------
    out : int
        H, from the ankles to the hands.
    up : int
        V, from the floor to the hands at the start.
    travel : int
        D, how far the hands rise.
    turned : float
        A, degrees that the body turns.
    coupling : {"good", "fair", "poor"}
        Handles, or none.
    frequency : float
        FM: 1 for a lift every five minutes or fewer, for an hour at most.
    """

    out: int = 10 * INCH
    up: int = 30 * INCH
    travel: int = 10 * INCH
    turned: float = 0.0
    coupling: Coupling = "good"
    frequency: float = 1.0

    def __post_init__(self) -> None:
        if min(self.out, self.up, self.travel) < 0 or self.turned < 0 or not 0 <= self.frequency <= 1:
            raise ValueError(f"a lift has distances, an angle and a frequency factor from 0 to 1, unlike {self}")


def multipliers(lift: Lift) -> dict[str, float]:
    """Return HM, VM, DM, AM, CM and FM, each with its caps (94-110; AM, CM, FM and the caps from memory)."""
    out, up, travel = inches(lift.out), inches(lift.up), inches(lift.travel)
    coupling = {"good": 1.0, "fair": 0.95 if up < 30 else 1.0, "poor": 0.90}
    return {
        "HM": 0.0 if out > 25 else 10 / max(out, 10.0),
        "VM": 0.0 if up > 70 else 1 - 0.0075 * abs(up - 30),
        "DM": 0.0 if travel > 70 else 0.82 + 1.8 / max(travel, 10.0),
        "AM": 0.0 if lift.turned > 135 else 1 - 0.0032 * lift.turned,
        "CM": coupling[lift.coupling],
        "FM": lift.frequency,
    }


def recommended_lb(lift: Lift) -> float:
    """Return the recommended weight limit RWL for one person, in pounds."""
    limit = LOAD_CONSTANT_LB
    for factor in multipliers(lift).values():
        limit *= factor
    return limit


def team_factor(people: int) -> float:
    """Return the share of the sum of what each could lift that a team can: 2/3 for two, 1/2 for more (HSE, quoted)."""
    if people < 1:
        raise ValueError(f"found {people} people; accepted: 1 or more")
    return {1: 1.0, 2: 2 / 3}.get(people, 0.5)


def lift_of_crate(height: int, depth: int, rules: LiftingRules, *, handles: bool) -> Lift:
    """Return the lift of a crate carried upright, face to the body.

    H = 8 in + half the depth (94-110, from memory); the hands are half way up, or at 30 in where that is lower.
    """
    start = min(height // 2, 30 * INCH)
    return Lift(
        out=max(10 * INCH, 8 * INCH + depth // 2),
        up=start,
        travel=max(10 * INCH, rules.lift_to),
        coupling="good" if handles else "poor",
    )


def team_for(gross_kg: float, longest: int, rules: LiftingRules) -> Team:
    """Return who lifts a crate of that gross weight and longest side.

    The smallest team whose share of ``one_person_lb`` each carries it. Teams of more than four rarely work, so four
    people are the most up to ``forks_lb``, and forks beyond.
    """
    gross = table_pounds(gross_kg)
    if gross >= rules.forks_lb:
        return "forks"
    for people, team in enumerate(_TEAMS, start=1):
        if people == 1 and longest > rules.one_person_longest:
            continue
        if gross <= people * rules.one_person_lb * team_factor(people):
            return team
    return "four people"


def team_size(team: Team) -> int:
    """Return how many people lift; 0 where forks do."""
    return 0 if team == "forks" else _TEAMS.index(team) + 1


def check_lifting(gross_kg: float, longest: int, lift: Lift, rules: LiftingRules, units: UnitSystem = "inch") -> Check:
    """Hold a crate's weight against what its team may lift.

    Parameters
    ----------
    gross_kg, longest
        As for :func:`team_for`.
    lift : Lift
        How it is lifted by hand; with forks, the capacity is what four people might lift so.
    units : {"inch", "metric"}
        How figures are written.

    Returns
    -------
    Check
        Ratio is the lifting index: "ok" to 1, "watch" to 3, "fails" beyond; with forks "info".
    """
    team, gross = team_for(gross_kg, longest, rules), table_pounds(gross_kg)
    people = _TEAMS.index(team) + 1 if team != "forks" else 4
    limit = people * recommended_lb(lift) * team_factor(people)
    index = gross / limit if limit > 0 else None
    factors = tuple(multipliers(lift).values())
    verdict: Verdict = "fails"
    if team == "forks":
        verdict = "info"
    elif index is not None and index <= 3:
        verdict = "ok" if index <= 1 else "watch"
    who, by = ("four people", "forks or a pallet jack; not by hand") if team == "forks" else (team, team)
    note = f"the second figure is what NIOSH recommends that {who} lift by hand in this way; {by}"
    if team != "forks" and (index is None or index > 1):
        note += "; use a dolly or a lift table, and keep it close and low"
    return Check(
        name="lifting",
        demand=gross,
        capacity=limit,
        unit="lb",
        ratio=index,
        verdict=verdict,
        formula="lifting index = weight / (n RWL team factor); RWL = [[51|23.13]] HM VM DM AM CM FM",
        source="NIOSH 94-110 (rev. 2021); team factors of the HSE (quoted)",
        limits_of_use="healthy adults, two hands, good floor, seldom lifted; not for stairs or carrying far",
        note=note,
        worked="RWL = [[51 lb|23.13 kg]]"
        + " x {}" * len(factors)
        + " = {} lb; {} lb / ({} x {} lb x {})"
        + (" = {}" if index is not None else ""),
        numbers=(
            *factors,
            recommended_lb(lift),
            gross,
            people,
            recommended_lb(lift),
            team_factor(people),
            *(() if index is None else (index,)),
        ),
    ).in_system(units)
