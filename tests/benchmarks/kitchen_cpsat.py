"""A second opinion on a kitchen's schedule: the same jobs as a CP-SAT model of OR-Tools."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from prepboard.plan.solver.lanes import Lane
from prepboard.plan.solver.schedule import Schedule


def second_opinion(schedule: Schedule, members: Collection[int], seconds: float) -> tuple[int, int, bool] | None:
    """(lateness with what is over too early to last, earliness, proved) for some of the jobs of a schedule in which
    none of them is booked, by one worker; None where it finds nothing in time."""
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    length = schedule.length
    jobs = {index: schedule.jobs[index] for index in sorted(members)}
    begins = {
        index: [model.new_int_var(job.after[number], length, f"b{index}.{number}") for number in range(len(job.steps))]
        for index, job in jobs.items()
    }
    ends = {index: begins[index][-1] + job.steps[-1].span for index, job in jobs.items()}
    used: dict[int, tuple[object, list[tuple[object, int, int, object]]]] = {}
    late, early = [], []
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
            for demand in step.demands:
                over = following if demand.whole else begin + step.head
                used.setdefault(id(demand.pool), (demand.pool, []))[1].append(
                    (begin, over, demand, f"{index}.{number}")
                )
        for feed in (feed for feed in job.feeds if feed.giver in jobs):
            model.add(begins[index][feed.step] >= ends[feed.giver] + feed.lag)
        if job.weight:
            over = model.new_int_var(0, length, f"l{index}")
            model.add(over >= ends[index] - job.due)
            late.append(job.weight * over)
        if job.fresh > 0:
            stale = model.new_int_var(0, length, f"f{index}")
            model.add(stale >= job.fresh - (ends[index] if job.fresh_step < 0 else begins[index][job.fresh_step]))
            late.append(stale)
        soon = model.new_int_var(0, length, f"e{index}")
        model.add(soon >= job.alone - begins[index][0])
        early.append(soon)
    for pool, asked in used.values():
        _share(model, pool.lanes, asked, length)
    model.minimize(length * 10 * sum(late) + sum(early))
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds, solver.parameters.num_workers = seconds, 1
    answer = solver.solve(model)
    if answer not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None
    found = round(sum(solver.value(one) for one in late)), round(sum(solver.value(one) for one in early))
    return *found, answer == cp_model.OPTIMAL


def _share(model: object, lanes: Sequence[Lane], asked: list, length: int) -> None:
    """Every demand on as many lanes as it wants: none over its capacity, and no lane with two modes at once."""
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
        for first, (_, begin, end, there, demand) in enumerate(on[number]):
            for _, other_begin, other_end, other_there, other in on[number][first + 1 :]:
                if other.mode != demand.mode:
                    before, after = model.new_bool_var(""), model.new_bool_var("")
                    model.add(end <= other_begin).only_enforce_if(before)
                    model.add(other_end <= begin).only_enforce_if(after)
                    model.add_bool_or([before, after, there.negated(), other_there.negated()])


def _missing(lane: Lane, length: int) -> list[tuple[int, int, int]]:
    """(since, until, units that are not there) of an empty lane; these stand on each other."""
    levels = [lane.look(0, units, 0, (1 << length) - 1) for units in range(1, lane.capacity + 1)]
    return [(since, until, 1) for level in levels for since, until in _stretches(level)]


def _stretches(bits: int) -> list[tuple[int, int]]:
    """Where bits stand one after the other: (since, until)."""
    found, at = [], 0
    while bits >> at:
        since = at + ((bits >> at) & -(bits >> at)).bit_length() - 1
        at = since + (~(bits >> since) & (bits >> since) + 1).bit_length() - 1
        found.append((since, at))
    return found
