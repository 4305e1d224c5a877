"""Every key of a book in words: what it means, how it is written, what counts when it is not said, and an example.

The guide's page of keys and the descriptions in the JSON Schema are made of this; every example is read as a book by a
test, which also finds keys that are missing here.
"""

from __future__ import annotations

from collections.abc import Mapping

from prepboard.book.reading.key_wordings import (
    CHANCE,
    CLOCK,
    DAY,
    DEGREES,
    DURATION,
    NOTE,
    PART,
    PLAN,
    SAID,
    TEXT,
    WAS,
    YES,
    Key,
)
from prepboard.book.reading.key_words_of_food import OF_FOOD

KEYS: Mapping[str, Mapping[str, Key]] = {
    "": {
        "name": Key("The kitchen's name, on every board, label and record.", TEXT, "Kitchen", 'name = "Quay Kitchen"'),
        "time_zone": Key("Where the kitchen's clock hangs.", "an IANA name", "UTC", 'time_zone = "Europe/Dublin"'),
        "day_starts": Key("What happens before it belongs to the evening before.", CLOCK, '"04:00"',
                          'day_starts = "05:00"'),
        "rules": Key(
            "Which rule book sets the limits of food. A help, not the law of the place.",
            "food-code-2022, fsanz, ireland, uk, uk-scotland", "food-code-2022", 'rules = "ireland"',
        ),
        "rules_of_the_house": Key(
            "Limits tighter than the rule book's, by its own keys (show rules names them).",
            "a table", "none", 'rules_of_the_house = { date_mark = "5 days" }',
        ),
        "approved_plan": Key(
            "The kitchen's own licensed plan. Only with it may a limit be looser than the rule book's, and every page"
            " then says so.", "number, by, on", "none", PLAN,
        ),
        "unread_cooling": Key(
            "What becomes of food that nobody read on its way down: its days count, or it is held back until somebody"
            " answers for it.", "count or hold", "count", 'unread_cooling = "hold"',
        ),
        "altitude": Key(
            "How high above the sea the kitchen stands: a probe is held to the degrees at which water boils there.",
            "metres or feet", "sea level is taken, and said so", 'altitude = "1600 m"',
        ),
        "service_level": Key(
            "The chance that one computed par covers its sitting. Of one par, not of the night.",
            CHANCE, "0.95", "service_level = 0.9",
        ),
        "enough": Key(
            "No new run is made while what is there already covers the sitting with this chance.",
            CHANCE, "0.85", "enough = 0.8",
        ),
        "spread": Key(
            "How far a whole night strays from the mix; 0 says that guests choose independently.",
            PART, "0.1", "spread = 0.15",
        ),
        "plan_ahead": Key(
            "How far the plan looks at least; for every prep it looks as far as its own chain needs.",
            DURATION, "2 days", 'plan_ahead = "3 days"',
        ),
        "units": Key("In which units amounts are shown.", "metric or us", "metric", 'units = "us"'),
        "clock": Key("How times are shown.", "12 or 24", "24", "clock = 12"),
        "language": Key("The language of boards and paper, where its texts are there.", "a code", "en",
                        'language = "en"'),
        "allergens": Key("Which list of allergens labels follow.", "eu or us", "eu", 'allergens = "us"'),
        "bell": Key("Whether a board rings when a step or a temperature is due.", YES, "true", "bell = false"),
        "ready_before": Key(
            "Slack before what a service needs, so that a phone call makes nothing late. A prep may say its own.",
            DURATION, "15 min", 'ready_before = "20 min"',
        ),
        "runs_over": Key(
            "A service goes on after its written end until somebody ends it, at most so long.",
            DURATION, "1 h", 'runs_over = "90 min"',
        ),
        "copies_kept": Key(
            "How many of the copies of the file that are made by themselves are kept; of the last 14 days also the last"
            " one of each.", "2 to 1000", "24", "copies_kept = 48",
        ),
        "copies_also_to": Key(
            "A second folder for those copies, best a folder on another disk or a stick. It is never made: while it is"
            " not there, the sous chef's board says so.", "a whole path", "none",
            'copies_also_to = "/media/stick/kitchen"',
        ),
        "this_kitchen": Key("Which of the kitchens of a group this book is read in.", "an id of [kitchens]",
                            "a kitchen by itself", 'this_kitchen = "central"'),
    },
    "stations": {
        "name": Key("What people read.", SAID, "its id in words", 'name = "Hot line"'),
        "cooks": Key("How many pairs of hands are there; by weekday where it differs.", "0 to 200", "1",
                     "cooks = { fri = 2, sat = 2, else = 1 }"),
        "hours": Key("When hands are there. Work is planned inside them; what only waits goes on outside.",
                     'windows, or "closed"; by weekday', "always", 'hours = "08:00-15:00, 16:00-23:30"'),
        "language": Key("The language of its boards and papers, where its cooks read another one than the kitchen.",
                        "a code", "the kitchen's", 'language = "es"'),
    },
    "equipment": {
        "name": Key("What people read.", SAID, "its id in words", 'name = "Deck oven"'),
        "places": Key("How many runs it takes at different temperatures at once.", "1 to 200", "1", "places = 2"),
        "racks": Key("How many runs at one temperature share a place.", "1 to 200", "1", "racks = 4"),
        "heats_up": Key("How long it takes until it is hot. Whoever comes first switches it on, and no run begins in"
                        " it sooner; it stays on until the last one leaves.", DURATION, "0",
                        'heats_up = "40 min"'),
    },
    "places": {
        "name": Key("What people read, and labels say.", SAID, "its id in words", 'name = "Walk-in"'),
        "store": Key("How it keeps food. time is out of temperature control, on a clock.",
                     "chilled, frozen, ambient, hot, time", "chilled", 'store = "frozen"'),
        "temperature": Key("What it should show; a reading beyond the rule book's limit flags what is in it.",
                           DEGREES, "none", 'temperature = "3 C"'),
        "note": NOTE,
    },
    "services": {
        "name": Key("What people read.", SAID, "its id in words", 'name = "Sunday lunch"'),
        "days": Key("On which weekdays it is held.", "mon to sun", "every day", 'days = ["fri", "sat"]'),
        "not_on": Key("Days on which it is not held after all.", "dates", "none", 'not_on = ["2026-12-25"]'),
        "on": Key("A function: held once, on this day.", DAY, "none", 'on = "2026-12-12"'),
        "starts": Key("When the first guests sit down.", CLOCK, "must be said", 'starts = "17:30"'),
        "ends": Key("When the last plate goes out. Not after starts, it is the next morning.", CLOCK, "must be said",
                    'ends = "22:30"'),
        "set_by": Key("When all that it needs must be ready.", CLOCK, "starts", 'set_by = "17:00"'),
        "covers": Key("How many guests are expected; by weekday where it differs.", "0 to 20000", "none",
                      "covers = { fri = 84, else = 48 }"),
        "arrivals": Key("Which share of the guests comes from that time on, evenly to the next. It adds up to 1.",
                        "times and parts", "evenly", 'arrivals = { "17:30" = 0.3, "19:00" = 0.7 }'),
        "counts": Key("Of a function: so many plates of a dish, instead of a mix.", "dishes and numbers", "none",
                      "counts = { broth-bowl = 40 }", 'on = "2026-12-12"\ncovers = 40'),
        "over": Key("What is made beyond the counts.", PART, "0", "over = 0.03",
                    'on = "2026-12-12"\ncovers = 40\ncounts = { broth-bowl = 40 }'),
        "courses": Key("When each course of a function is plated.", "courses and times", "starts",
                       'courses = { main = "19:40" }',
                       'starts = "19:00"\nends = "22:00"\ncovers = 40\ncounts = { broth-bowl = 40 }'),
        "plate_up": Key("Of a function: so long a course is plated, and takes the hands of the benches on its plates.",
                        DURATION, "0, all at once", 'plate_up = "25 min"',
                        'on = "2026-12-12"\ncovers = 40\ncounts = { broth-bowl = 40 }'),
    },
    "dishes": {
        "name": Key("What people read.", SAID, "its id in words", 'name = "Braised lamb, soubise"'),
        "services": Key("Where it is offered.", "ids", "every service that is no function", 'services = ["dinner"]'),
        "course": Key("Guests take one dish of a course; shares of a course add up to at most 1.", TEXT, "none",
                      'course = "main"'),
        "share": Key("Portions a cover, of the guests who choose. Without a course it may pass 1, as bread does.",
                     "0 to 20", "0", "share = 0.22"),
        "price": Key("What it sells for; it decides how much running out costs.", "money", "none", "price = 27"),
        "from": Key("The first day on which it is offered.", DAY, "always", 'from = "2026-10-01"'),
        "until": Key("The last day on which it is offered.", DAY, "always", 'until = "2027-02-28"'),
        "finish": Key("What is done at service, shown with what is left of it.", SAID, "none",
                      'finish = "Glaze under the grill, 90 seconds."'),
        "plate": Key("What one plate takes of each prep or good, as it is eaten: net.", "ids and amounts", "nothing",
                     'plate = { broth = "180 ml" }'),
        "use_covers": Key("false where its sales do not follow the covers.", YES, "true", "use_covers = false"),
        "was": WAS,
    },
    "menus": {
        "name": Key("What people read.", SAID, "its id in words", 'name = "Long table"'),
        "services": Key("Where it is offered.", "ids", "every service that is no function", 'services = ["dinner"]'),
        "share": Key("Which share of the guests takes it.", PART, "0", "share = 0.4"),
        "dishes": Key("Its guests take one of each of these, and no other dish of those courses.", "ids",
                      "must be said", 'dishes = ["broth-bowl"]'),
    },
    **OF_FOOD,
    "tasks": {
        "name": Key("What is to be done.", SAID, "its id in words", 'name = "Drain the fryer"'),
        "station": Key("Whose it is.", "an id", "the first", 'station = "sauce"'),
        "when": Key("When it is due.", "open, close or a time", "must be said", 'when = "close"'),
        "days": Key("On which weekdays.", "mon to sun", "every day", 'days = ["sun"]'),
        "hands_on": Key("How long a cook is busy with it.", DURATION, "0", 'hands_on = "30 min"'),
        "reads": Key("Asks for a temperature, which goes into the record.", "C or F", "none", 'reads = "C"'),
        "place": Key("What it reads: the place, and what stands in it, is held to its limit by that reading.", "an id",
                     "none", 'place = "walk-in"'),
    },
    "people": {
        "name": Key("What people read beside the initials.", TEXT, "the initials", 'name = "Leda M."'),
        "role": Key("What they may do: a sous all that a closing cook may, and that one all that a cook may. Where the"
                    " book lists nobody, anybody may do everything.", "cook, closing, sous", "cook", 'role = "sous"'),
        "language": Key("What they read on boards that are opened with their initials, and in their own commands.",
                        "a code", "their bench's, else the kitchen's", 'language = "es"'),
    },
    "kitchens": {
        "name": Key("What people read, on boards and on delivery notes.", TEXT, "its id in words",
                    'name = "Central kitchen"'),
        "letter": Key("Stands before the codes of what comes from it: the same code may be another box elsewhere.",
                      "one capital letter, or two", "must be said", 'letter = "Q"'),
    },
    "vans": {
        "name": Key("What people read.", TEXT, "its id in words", 'name = "Early van"'),
        "from": Key("Where it leaves from.", "an id of [kitchens]", "must be said", 'from = "central"'),
        "to": Key("Where it goes.", "ids of [kitchens]", "must be said", 'to = ["north", "south"]'),
        "days": Key("On which weekdays.", "mon to sun", "every day", 'days = ["mon", "thu"]'),
        "closes": Key("The last moment for an order: the last one before it leaves, the evening before where that is"
                      " later on the clock.", CLOCK, "when it leaves", 'closes = "18:00"'),
        "leaves": Key("When it leaves. Where it leaves from, what is ordered by it is needed then.", CLOCK,
                      "must be said", 'leaves = "06:30"'),
        "arrives": Key("When it has been to the last of its kitchens.", CLOCK, "when it leaves",
                       'arrives = "07:30"'),
    },
}  # fmt: skip
