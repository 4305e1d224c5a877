"""Services, dishes and menus: arrivals, covers, counts and shares that must hold together."""

from __future__ import annotations

from datetime import date, time
from fractions import Fraction

import pytest

SERVICE = '[services.dinner]\nstarts = "17:30"\nends = "22:30"\n'


def test_arrivals_are_kept_in_the_order_of_the_evening(book):
    """Times before `starts` on the clock are after midnight."""
    text = SERVICE.replace("22:30", "02:00") + 'arrivals = { "00:30" = 0.1, "17:30" = 0.6, "21:00" = 0.3 }\n'
    curve = book(text).services["dinner"].arrivals
    assert [clock for clock, _share in curve] == [time(17, 30), time(21), time(0, 30)]
    assert sum(share for _clock, share in curve) == 1


def test_ten_tenths_of_the_guests_are_all_of_them(book):
    """Shares are exact: ten times 0.1 is 1, which binary fractions miss."""
    times = ", ".join(f'"{17 + n // 2}:{"30" if n % 2 else "00"}" = 0.1' for n in range(1, 11))
    assert (
        len(book(SERVICE.replace("22:30", "23:00") + f"arrivals = {{ {times} }}\n").services["dinner"].arrivals) == 10
    )


@pytest.mark.parametrize(
    ("arrivals", "said"),
    [
        ('"18:00" = 1', 'the first time must be `starts`, "17:30"'),
        ('"17:30" = 0.5, "20:00" = 0.4', "add up to 0.9, not to 1"),
        ('"17:30" = 0.5, "20:00" = 0.5000001', "add up to 1.0000001, not to 1"),
        ('"17:30" = 0.5, "23:00" = 0.5', "outside the service, which ends at 22:30"),
        ('"17:30" = 0.5, "25:00" = 0.5', 'a time like "17:30"'),
    ],
)
def test_arrivals_that_do_not_hold_together(arrivals, said, fault):
    found = fault(SERVICE + f"arrivals = {{ {arrivals} }}\n")
    assert found.line == 4
    assert said in found.said


@pytest.mark.parametrize(
    ("text", "key", "said"),
    [
        ('[services.a]\nends = "22:00"\n', "services.a", "needs `starts`"),
        ('[services.a]\nstarts = "22:00"\nends = "22:00"\n', "services.a.ends", "ends when it starts"),
        (SERVICE + 'set_by = "18:00"\n', "services.dinner.set_by", "after the service starts"),
        (SERVICE + 'days = ["fri"]\ncovers = { sat = 3 }\n', "services.dinner.covers", "no covers for fri"),
        (SERVICE + "covers = -1\n", "services.dinner.covers", "whole number"),
        (SERVICE + 'not_on = ["2026-02-31"]\n', "services.dinner.not_on.1", "no such day"),
        (SERVICE + "not_on = [2026-12-25]\n", "services.dinner.not_on.1", 'in quotes: "2026-12-25"'),
        (SERVICE + 'on = "12 December"\n', "services.dinner.on", '"2026-12-25"'),
        (SERVICE + 'on = "2026-12-12"\ndays = ["sat"]\n', "services.dinner.days", "does not belong"),
        (SERVICE + "counts = { lam = 3 }\n[dishes.lamb]\n", "services.dinner.counts.lam", "did you mean 'lamb'"),
        ('[dishes.a]\nservices = ["diner"]\n' + SERVICE, "dishes.a.services.1", "did you mean 'dinner'"),
        ('[dishes.a]\nplate = { soubis = "1 g" }\n', "dishes.a.plate.soubis", "did you mean 'soubise'"),
        ('[dishes.a]\nplate = { soubise = "0 g" }\n', "dishes.a.plate.soubise", "is nothing"),
        ('[dishes.a]\ncourse = "main"\nshare = 1.4\n', "dishes.a.share", "goes without `course`"),
        ('[dishes.a]\nfrom = "2026-10-02"\nuntil = "2026-10-01"\n', "dishes.a.until", "before `from`"),
        ("[menus.a]\nshare = 0.1\n", "menus.a", "needs `dishes`"),
        ('[menus.a]\ndishes = ["lam"]\n[dishes.lamb]\n', "menus.a.dishes.1", "did you mean 'lamb'"),
    ],
)
def test_a_fault_of_what_is_sold(text, key, said, fault):
    found = fault(text)
    assert found.key == key
    assert said in found.said


def test_the_shares_of_a_course_add_up_to_at_most_one(fault):
    found = fault(
        SERVICE
        + '[dishes.lamb]\ncourse = "main"\nshare = 0.6\n[dishes.cod]\ncourse = "main"\nshare = 0.5\n'
        + '[dishes.tart]\ncourse = "sweet"\nshare = 0.9\n'
    )
    assert found.key == "dishes.cod.share"
    assert found.said.endswith("add up to 1.1, more than 1: lamb 0.6, cod 0.5")
    assert "'main' at dinner add up to 1.1" in found.said


def test_a_dish_that_follows_another_in_the_year_does_not_add_to_it(book):
    """Shares count on the days on which dishes are on offer together."""
    read = book(
        SERVICE
        + '[dishes.lamb]\ncourse = "main"\nshare = 0.6\nuntil = "2026-10-31"\n'
        + '[dishes.cod]\ncourse = "main"\nshare = 0.5\nfrom = "2026-11-01"\n'
    )
    assert read.dishes["lamb"].last_day == date(2026, 10, 31)


def test_bread_is_taken_more_than_once_by_a_guest(book):
    assert book(SERVICE + "[dishes.bread]\nshare = 1.4\n").dishes["bread"].share == Fraction(7, 5)


def test_menus_add_up_to_at_most_one(fault):
    found = fault(
        SERVICE
        + "[dishes.lamb]\n"
        + '[menus.a]\nshare = 0.6\ndishes = ["lamb"]\n[menus.b]\nshare = 0.5\ndishes = ["lamb"]\n'
    )
    assert found.key == "menus.b.share"
    assert "1.1" in found.said


def test_a_menu_has_one_dish_of_a_course(fault):
    found = fault(
        SERVICE + '[dishes.a]\ncourse = "main"\n[dishes.b]\ncourse = "main"\n[menus.m]\ndishes = ["a", "b"]\n'
    )
    assert found.key == "menus.m.dishes.2"


def test_a_function_counts_no_more_of_a_course_than_its_covers(fault):
    found = fault(
        '[services.feast]\non = "2026-12-12"\nstarts = "19:00"\nends = "20:00"\ncovers = 300\n'
        "counts = { lamb = 210, root = 132, bread = 900 }\n"
        '[dishes.lamb]\ncourse = "main"\n[dishes.root]\ncourse = "main"\n[dishes.bread]\n'
    )
    assert (found.line, found.key) == (6, "services.feast.counts")
    assert "'main' counts 342, more than the 300 covers" in found.said


FEAST = """
[services.feast]
on = "2026-12-12"
starts = "19:00"
ends = "01:00"
covers = 300
counts = {{ lamb = 210 }}
{}
[dishes.lamb]
course = "main"
[dishes.tart]
course = "sweet"
"""


def test_the_courses_of_a_function_have_times_which_may_lie_after_midnight(book):
    feast = book(FEAST.format('courses = { main = "00:30" }\nplate_up = "25 min"')).services["feast"]
    assert (feast.courses, feast.plate_up) == ({"main": time(0, 30)}, 25)


@pytest.mark.parametrize(
    ("line", "key", "said"),
    [
        ('courses = { sweet = "19:40" }', "courses.sweet", "no counted dish is of a course 'sweet'"),
        ('courses = { main = "18:59" }', "courses.main", "outside the service, 19:00 to 01:00"),
        ('courses = { main = "01:00" }', "courses.main", "outside the service"),
        ('plate_up = "6 h"', "plate_up", "not shorter than the service"),
    ],
)
def test_a_fault_of_a_functions_courses(line, key, said, fault):
    found = fault(FEAST.format(line))
    assert (found.line, found.key) == (7, f"services.feast.{key}")
    assert said in found.said


@pytest.mark.parametrize("line", ['courses = { main = "19:40" }', 'plate_up = "25 min"'])
def test_only_what_is_counted_is_plated_by_courses(line, fault):
    found = fault(SERVICE + f'{line}\n[dishes.lamb]\ncourse = "main"\n')
    assert found.key == f"services.dinner.{line.partition(' ')[0]}"
    assert "belongs to a function, a service with `counts`" in found.said


def test_a_dish_without_services_is_sold_at_every_service_but_functions(book):
    read = book(SERVICE + '[services.feast]\non = "2026-12-12"\nstarts = "19:00"\nends = "20:00"\n[dishes.lamb]\n')
    assert read.dishes["lamb"].services == ("dinner",)


def test_a_service_is_held_every_day_unless_said_and_set_by_its_start(book):
    dinner = book(SERVICE).services["dinner"]
    assert dinner.weekdays == frozenset(range(7))
    assert dinner.set_by == dinner.starts == time(17, 30)
    assert dinner.name == "Dinner"
