"""A second opinion on a kitchen's schedule: the same jobs as a CP-SAT model of OR-Tools."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from prepboard.plan.solver.jobs import Job
from prepboard.plan.solver.lanes import Lane
from prepboard.plan.solver.schedule import Schedule


def second_opinion(schedule: Schedule, members: Collection[int], seconds: float) -> tuple[int, int, bool] | None:
    """(lateness, earliness, proved) for some of the jobs of a schedule in which
    none of them is booked, by one worker, both together, nothing over too
    early to last; None where it finds nothing in time."""
    return Exact(schedule, members).both(seconds)


class Exact:
    """The jobs of a schedule in which none of them is booked, costed as the schedule costs them; what would not last
    for what it is for is not allowed."""

    def __init__(self, schedule: Schedule, members: Collection[int], equal: bool = False) -> None:
        """`equal`: a late minute of every job that is for a sitting by itself costs the same."""
        from ortools.sat.python import cp_model

        self.equal = equal
        self.model = cp_model.CpModel()
        self.length = schedule.length
        self.late, self.early = _cost(self.model, schedule, members, equal)

    def both(self, seconds: float, workers: int = 1) -> tuple[int, int, bool] | None:
        """Lateness and, far less, earliness."""
        return self._least(self.length * 10 * sum(self.late) + sum(self.early), seconds, workers)

    def lateness(self, seconds: float, workers: int = 1) -> tuple[int, int, bool] | None:
        """The least lateness, whatever the earliness."""
        return self._least(sum(self.late), seconds, workers)

    def earliness(self, lateness: int, seconds: float, workers: int = 1) -> tuple[int, int, bool] | None:
        """The least earliness that is as late as that, or less."""
        self.model.add(sum(self.late) <= lateness)
        return self._least(sum(self.early), seconds, workers)

    def _least(self, what: object, seconds: float, workers: int) -> tuple[int, int, bool] | None:
        from ortools.sat.python import cp_model

        self.model.minimize(what)
        solver = cp_model.CpSolver()
        solver.parameters.max_time_in_seconds, solver.parameters.num_workers = seconds, workers
        answer = solver.solve(self.model)
        if answer not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return None
        found = round(sum(solver.value(one) for one in self.late)), round(sum(solver.value(one) for one in self.early))
        return *found, answer == cp_model.OPTIMAL


def _cost(model: object, schedule: Schedule, members: Collection[int], equal: bool) -> tuple[list, list]:
    """The model's terms of lateness and of earliness, all constraints in it."""
    from ortools.sat.python import cp_model

    length = schedule.length
    jobs = {index: schedule.jobs[index] for index in sorted(members)}
    begins = {
        index: [model.new_int_var(job.after[number], length, f"b{index}.{number}") for number in range(len(job.steps))]
        for index, job in jobs.items()
    }
    ends = {index: begins[index][-1] + job.steps[-1].span for index, job in jobs.items()}
    used: dict[int, tuple[object, list[tuple[object, int, int, object]]]] = {}
    late, early, unused = [], [], {}
    for index, job in jobs.items():
        model.add(ends[index] <= length)
        for number, step in enumerate(job.steps):
            begin = begins[index][number]
            following = begins[index][number + 1] if number + 1 < len(job.steps) else begin + step.span
            if number + 1 < len(job.steps):
                model.add(following >= begin + step.span)
                if step.most is not None:
                    model.add(following <= begin + step.head + step.most)
            if step.ends_open is not None:
                closed = _stretches(step.ends_open.closed)
                shut = [(since + 1 - step.span, until - step.span) for since, until in closed]
                domain = cp_model.Domain(-length, 2 * length)
                for since, until in shut:
                    domain = domain.intersection_with(cp_model.Domain(since, until).complement())
                model.add_linear_expression_in_domain(begin, domain)
            # What takes no time takes nothing.
            for demand in (one for one in step.demands if one.whole or step.head):
                over = following if demand.whole else begin + step.head
                used.setdefault(id(demand.pool), (demand.pool, []))[1].append(
                    (begin, over, demand, f"{index}.{number}")
                )
        for feed in (feed for feed in job.feeds if feed.giver in jobs):
            model.add(begins[index][feed.step] >= ends[feed.giver] + feed.lag)
        late += _late(model, index, job, ends[index], length, equal)
        over = _of_no_use(model, schedule, index, ends[index], unused)
        early += _early(model, index, job, begins[index][0], ends[index], length, over)
        if job.fresh > 0:
            # A batch lasts for its users, later where they are later: by whole days where days are counted.
            later = model.new_int_var(0, length, f"d{index}")
            model.add(job.at_fresh(begins[index], ends[index]) >= job.fresh + job.fresh_grain * later)
            for user, feed in schedule.users[index]:
                if user in jobs and feed.wanted is not None:
                    model.add(job.fresh_grain * later >= begins[user][feed.step] - feed.wanted)
    for pool, asked in used.values():
        _share(model, pool.lanes, asked, length)
    return late, early


def _late(model: object, index: int, job: Job, end: object, length: int, equal: bool) -> list:
    """What its lateness costs, and that it is lost from some moment on, and no later after it."""
    found = []
    weight = min(1, job.weight) if equal else job.weight
    lost = None
    if job.lost_from is not None and job.lost:
        lost = model.new_bool_var(f"n{index}")
        model.add(end < job.lost_from).only_enforce_if(lost.negated())
        found.append(job.lost * lost)
    if weight:
        over = model.new_int_var(0, length, f"l{index}")
        late = model.add(over >= end - job.due - job.slack)
        if lost is not None:
            late.only_enforce_if(lost.negated())
            model.add(over >= max(job.lost_from, job.due) - job.due - job.slack).only_enforce_if(lost)
        found.append(weight * over)
    return found


def _of_no_use(model: object, schedule: Schedule, index: int, end: object, unused: dict[int, object]) -> object | None:
    """Whether nobody has any use for a job any more, since it is over too late, or all that take it are; None where
    that cannot be. Users come first."""
    job, users = schedule.jobs[index], [user for user, _ in schedule.users[index]]
    if (job.no_use_from is None and (job.weight or not users)) or any(user not in unused for user in users):
        return None
    unused[index] = over = model.new_bool_var(f"u{index}")
    if job.no_use_from is not None:
        model.add(end >= job.no_use_from).only_enforce_if(over)
    for user in users:
        model.add_implication(over, unused[user])
    return over


def _early(model: object, index: int, job: Job, begin: object, end: object, length: int, over: object | None) -> list:
    """How much earlier it begins than alone, and what it eats of its slack; nothing where nobody will begin it."""
    soon = model.new_int_var(0, length, f"e{index}")
    must = model.add(soon >= job.alone - begin)
    if over is not None:
        must.only_enforce_if(over.negated())
    if not job.slack:
        return [soon]
    eaten = model.new_int_var(0, job.slack, f"a{index}")
    past = model.new_bool_var("")
    model.add(eaten >= end - job.due).only_enforce_if(past.negated())
    model.add(eaten == job.slack).only_enforce_if(past)
    return [soon, eaten]


def _share(model: object, lanes: Sequence[Lane], asked: list, length: int) -> None:
    """Every demand on as many lanes as it wants: none over its capacity, and no lane with two settings at once."""
    on: list[list] = [[] for _ in lanes]
    for begin, over, demand, name in asked:
        size = model.new_int_var(0, length, f"z{name}")
        end = model.new_int_var(0, 2 * length, f"x{name}")
        model.add(end == over)
        chosen = [model.new_bool_var(f"o{name}.{number}") for number in range(len(lanes))]
        model.add(sum(chosen) == demand.lanes)
        for number, there in enumerate(chosen):
            span = model.new_optional_interval_var(begin, size, end, there, f"i{name}.{number}")
            on[number].append((span, begin, end, there, demand))
    for number, lane in enumerate(lanes):
        spans = [span for span, *_ in on[number]]
        taken = [demand.amount for *_, demand in on[number]]
        capacity = lane.capacity
        for since, until, units in _missing(lane, length):
            spans.append(model.new_fixed_size_interval_var(since, until - since, f"c{number}.{since}"))
            taken.append(units)
        model.add_cumulative(spans, taken, capacity)
        for setting, since, until in _at_work(lane):
            for _, begin, end, there, demand in on[number]:
                if demand.setting != setting:
                    before, after = model.new_bool_var(""), model.new_bool_var("")
                    model.add(end <= since).only_enforce_if(before)
                    model.add(begin >= until).only_enforce_if(after)
                    model.add_bool_or([before, after, there.negated()])
        for first, (_, begin, end, there, demand) in enumerate(on[number]):
            for _, other_begin, other_end, other_there, other in on[number][first + 1 :]:
                if other.setting != demand.setting:
                    before, after = model.new_bool_var(""), model.new_bool_var("")
                    model.add(end <= other_begin).only_enforce_if(before)
                    model.add(other_end <= begin).only_enforce_if(after)
                    model.add_bool_or([before, after, there.negated(), other_there.negated()])


def _missing(lane: Lane, length: int) -> list[tuple[int, int, int]]:
    """(since, until, units that are not there) of a lane on which nothing is planned; these stand on each other."""
    (levels, *_) = lane.taken
    everything = (1 << length) - 1
    return [(since, until, 1) for level in levels for since, until in _stretches(level & everything)]


def _at_work(lane: Lane) -> list[tuple[int, int, int]]:
    """(setting, since, until) of what is under way on a lane that only one setting at a time may have."""
    (_, *own) = lane.taken
    by_setting = own[0] if own else {}
    return [(setting, since, until) for setting, levels in by_setting.items() for since, until in _stretches(levels[0])]


def _stretches(bits: int) -> list[tuple[int, int]]:
    """Where bits stand one after the other: (since, until)."""
    found, at = [], 0
    while bits >> at:
        since = at + ((bits >> at) & -(bits >> at)).bit_length() - 1
        at = since + (~(bits >> since) & (bits >> since) + 1).bit_length() - 1
        found.append((since, at))
    return found
