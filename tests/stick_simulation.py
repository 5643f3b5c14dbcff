"""Lumber at the saw: sticks, a stop and limits, in which a printed order of cuts is carried out with no code of others.

See :mod:`tests.saw_simulation`, which does the same for sheets; a stick has a length that gets shorter, no more.
"""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from tests.saw_simulation import Limits, inches_of


@dataclass(frozen=True, slots=True)
class Section:
    """A stick as it lies on the saw: how high, and how broad across the cut."""

    thickness: int
    breadth: int


@dataclass(slots=True)
class _Bench:
    """Sticks of one good: what is left of one of each way of cutting, and how many are cut so."""

    lengths: Mapping[str, int]
    section: Section
    limits: Limits
    kerf: int
    rest: list[int] = field(default_factory=list)
    repeats: list[int] = field(default_factory=list)
    parted: set[int] = field(default_factory=set)
    came: Counter[str] = field(default_factory=Counter)

    def cut(self, setting: Any, cut: Any) -> Iterator[str]:
        """Make a setting's cuts of the sticks that are cut alike; yield what is wrong."""
        if cut.repeat != self.repeats[cut.layout]:
            yield f"{cut.repeat} sticks, {self.repeats[cut.layout]} are cut so"
        if setting.trim:
            if cut.layout in self.parted or cut.parts:
                yield "an end is trimmed after parts were cut"
            if not 0 < setting.at < self.rest[cut.layout]:
                yield "the trim takes all there is, or nothing"
            self.rest[cut.layout] -= setting.at
        if cut.parts or cut.left:
            self.parted.add(cut.layout)
        for name in cut.parts:
            yield from self._part(setting, cut, name)
        if cut.left:
            if self.rest[cut.layout] != self.lengths.get(cut.left, 0):
                yield f"{cut.left} is to be left, {inches_of(self.rest[cut.layout])} remain"
            self.came[cut.left] += self.repeats[cut.layout]
            self.rest[cut.layout] = 0

    def _part(self, setting: Any, cut: Any, name: str) -> Iterator[str]:
        """Cut one part off."""
        there = self.rest[cut.layout]
        if setting.at != self.lengths.get(name, 0):
            yield f"{name} is {inches_of(self.lengths.get(name, 0))}, the stop stands at {inches_of(setting.at)}"
        if setting.at >= there:
            yield f"{name} is cut off a stick of {inches_of(there)}"
        self.rest[cut.layout] = max(0, there - setting.at - self.kerf)
        self.came[name] += self.repeats[cut.layout]

    def clamped(self, setting: Any, before: Sequence[int]) -> bool:
        """Whether some cut of a setting, from the lengths before it, leaves nothing that a hand may hold."""
        found = False
        for cut in setting.cuts:
            there = before[cut.layout]
            for _ in cut.parts:
                there = max(0, there - setting.at - self.kerf)
                found = found or max(setting.at, there) < self.limits.hold
        return found

    def tool(self, setting: Any) -> Iterator[str]:
        """Hold a setting against its tool."""
        limits, section = self.limits, self.section
        high = setting.stacked * section.thickness
        if setting.tool == "chop":
            if section.breadth > limits.chop:
                yield f"{inches_of(section.breadth)} wide, the saw crosscuts {inches_of(limits.chop)}"
            if setting.stacked > 1 and high > limits.chop_stack:
                yield f"{setting.stacked} on each other, {inches_of(high)} high"
        elif setting.tool == "track":
            if section.breadth > limits.track:
                yield f"{inches_of(section.breadth)} wide, the track takes {inches_of(limits.track)}"
            if setting.stacked > 1:
                yield f"{setting.stacked} on each other with the track"
        else:
            yield f"{setting.tool} cuts no lumber"
        if limits.kerfs.get(setting.tool, self.kerf) > self.kerf:
            yield f"takes more than the {inches_of(self.kerf)} that are reckoned"
        chains = [len(cut.parts) or 1 for cut in setting.cuts for _ in range(cut.repeat)]
        least = max(0, *chains, -(-sum(chains) // max(1, setting.stacked)))
        if setting.stacked < 1 or not least <= setting.passes <= sum(chains):
            yield f"{setting.passes} passes told, takes {least}"


def replay_sticks(work: Any, plan: Any, parts: Iterable[Any], section: Section, limits: Limits) -> list[str]:
    """Carry the order of a lumber good out.

    Parameters
    ----------
    work : StickWork
        The order, read as plain data.
    plan : StickPlan
        Whose sticks are brought.
    parts : iterable of StickPart
        The cut list of the good.
    section : Section
        Of the good.
    limits : Limits
        Of the shop's tools.

    Returns
    -------
    list of str
        One message for each setting that cannot be made, and for each part that does not come out as wanted.
    """
    wanted = {part.name: part for part in parts}
    bench = _Bench({name: part.length for name, part in wanted.items()}, section, limits, work.kerf)
    for each in plan.sticks:
        bench.rest.append(each.stick.length)
        bench.repeats.append(each.repeat)
    faults = []
    seen = set[tuple[Any, ...]]()
    for number, setting in enumerate(work.settings):
        wrong = list(bench.tool(setting)) if setting.cuts else ["nothing is cut"]
        if (setting.tool, setting.trim, setting.at) in seen:
            wrong.append("the stop stood there before")
        seen.add((setting.tool, setting.trim, setting.at))
        before = list(bench.rest)
        for cut in setting.cuts:
            wrong += bench.cut(setting, cut)
        if not setting.trim and setting.clamped is not bench.clamped(setting, before):
            wrong.append(f"{'' if setting.clamped else 'not '}told to be clamped")
        if wrong:
            faults.append(f"stop {number + 1} ({setting.tool} at {inches_of(setting.at)}): {'; '.join(wrong)}")
    for index, each in enumerate(plan.sticks):
        if index not in bench.parted and each.parts:
            # A stick off which no part is cut is a part as it is, its end squared or not.
            if [bench.lengths.get(name) for name in each.parts] != [bench.rest[index]]:
                faults.append(f"sticks cut {index + 1}: nothing is cut off")
            bench.came.update(dict.fromkeys(each.parts, each.repeat))
    return [*faults, *_compared(bench.came, wanted), *_effort(work)]


def _compared(came: Counter[str], wanted: Mapping[str, Any]) -> Iterator[str]:
    """Hold what came off against the cut list."""
    for name in sorted({*wanted, *came}):
        count = wanted[name].count if name in wanted else 0
        if came[name] != count:
            yield f"{came[name]} of {name}, wanted {count}"


def _effort(work: Any) -> Iterator[str]:
    """Yield what the counts of an order say otherwise than its settings do."""
    settings, passes = Counter[str](), Counter[str]()
    for setting in work.settings:
        settings[setting.tool] += 1
        passes[setting.tool] += setting.passes
    told, real = (dict(work.effort.settings), dict(work.effort.passes)), (dict(settings), dict(passes))
    if told != real:
        yield f"settings and passes told {told}, are {real}"
