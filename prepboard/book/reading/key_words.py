"""Every key of a book in words: what it means, how it is written, what counts when it is not said, and an example.

The guide's page of keys and the descriptions in the JSON Schema are made of this; every example is read as a book by a
test, which also finds keys that are missing here.
"""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct


class Key(Struct, frozen=True):
    """One key. `beside` is what a recipe or an entry must say too, so that the example alone is no fault."""

    means: str
    written: str
    default: str
    example: str
    beside: str = ""


_TEXT, _YES = "text", "true or false"
_SAID = "text, or a text by language"
_DURATION = "a duration: 30 s, 45 min, 1 h 30 min, 2 days"
_AMOUNT = "an amount: 1.2 kg, 2.5 l, 13½ each"
_CLOCK = 'a time: "17:30"'
_DAY = 'a date: "2026-12-25"'
_PART, _CHANCE = "0 to 1", "between 0 and 1"
_DEGREES = "degrees C or F"
_WAS = Key(
    "The id that it had before. What hangs on that one stays with it: batches, pars, plates, what history learned.",
    "an id that is gone", "none", 'was = "old-name"',
)  # fmt: skip
_PLAN = 'approved_plan = { number = "HACCP 7", by = "City food office", on = "2026-03-02" }'
_EVIDENCE = 'exempt = { why = "acid", measured = "pH 3.6", on = "2026-09-02", by = "LM" }'
_PARASITES = 'parasites = { how = "frozen", by = "Quayside Fish", on = "2026-09-02" }'
_NOTE = Key("Said wherever the entry is opened.", _SAID, "none", 'note = "Skim twice."')

KEYS: Mapping[str, Mapping[str, Key]] = {
    "": {
        "name": Key("The kitchen's name, on every board, label and record.", _TEXT, "Kitchen", 'name = "Quay Kitchen"'),
        "time_zone": Key("Where the kitchen's clock hangs.", "an IANA name", "UTC", 'time_zone = "Europe/Dublin"'),
        "day_starts": Key("What happens before it belongs to the evening before.", _CLOCK, '"04:00"',
                          'day_starts = "05:00"'),
        "rules": Key(
            "Which rule book sets the limits of food. A help, not the law of the place.",
            "food-code-2022, uk, ireland, fsanz", "food-code-2022", 'rules = "ireland"',
        ),
        "rules_of_the_house": Key(
            "Limits tighter than the rule book's, by its own keys (show rules names them).",
            "a table", "none", 'rules_of_the_house = { date_mark = "5 days" }',
        ),
        "approved_plan": Key(
            "The kitchen's own licensed plan. Only with it may a limit be looser than the rule book's, and every page"
            " then says so.", "number, by, on", "none", _PLAN,
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
            _CHANCE, "0.95", "service_level = 0.9",
        ),
        "enough": Key(
            "No new run is made while what is there already covers the sitting with this chance.",
            _CHANCE, "0.85", "enough = 0.8",
        ),
        "spread": Key(
            "How far a whole night strays from the mix; 0 says that guests choose independently.",
            _PART, "0.1", "spread = 0.15",
        ),
        "plan_ahead": Key(
            "How far the plan looks at least; for every prep it looks as far as its own chain needs.",
            _DURATION, "2 days", 'plan_ahead = "3 days"',
        ),
        "units": Key("In which units amounts are shown.", "metric or us", "metric", 'units = "us"'),
        "clock": Key("How times are shown.", "12 or 24", "24", "clock = 12"),
        "language": Key("The language of boards and paper, where its texts are there.", "a code", "en",
                        'language = "en"'),
        "allergens": Key("Which list of allergens labels follow.", "eu or us", "eu", 'allergens = "us"'),
        "bell": Key("Whether a board rings when a step or a temperature is due.", _YES, "true", "bell = false"),
        "ready_before": Key(
            "Slack before what a service needs, so that a phone call makes nothing late. A prep may say its own.",
            _DURATION, "15 min", 'ready_before = "20 min"',
        ),
        "runs_over": Key(
            "A service goes on after its written end until somebody ends it, at most so long.",
            _DURATION, "1 h", 'runs_over = "90 min"',
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
        "name": Key("What people read.", _SAID, "its id in words", 'name = "Hot line"'),
        "cooks": Key("How many pairs of hands are there; by weekday where it differs.", "0 to 200", "1",
                     "cooks = { fri = 2, sat = 2, else = 1 }"),
        "hours": Key("When hands are there. Work is planned inside them; what only waits goes on outside.",
                     'windows, or "closed"; by weekday', "always", 'hours = "08:00-15:00, 16:00-23:30"'),
        "language": Key("The language of its boards and papers, where its cooks read another one than the kitchen.",
                        "a code", "the kitchen's", 'language = "es"'),
    },
    "equipment": {
        "name": Key("What people read.", _SAID, "its id in words", 'name = "Deck oven"'),
        "places": Key("How many runs it takes at different temperatures at once.", "1 to 200", "1", "places = 2"),
        "racks": Key("How many runs at one temperature share a place.", "1 to 200", "1", "racks = 4"),
        "heats_up": Key("How long it takes until it is hot. Whoever comes first switches it on, and no run begins in"
                        " it sooner; it stays on until the last one leaves.", _DURATION, "0",
                        'heats_up = "40 min"'),
    },
    "places": {
        "name": Key("What people read, and labels say.", _SAID, "its id in words", 'name = "Walk-in"'),
        "store": Key("How it keeps food. time is out of temperature control, on a clock.",
                     "chilled, frozen, ambient, hot, time", "chilled", 'store = "frozen"'),
        "temperature": Key("What it should show; a reading beyond the rule book's limit flags what is in it.",
                           _DEGREES, "none", 'temperature = "3 C"'),
        "note": _NOTE,
    },
    "services": {
        "name": Key("What people read.", _SAID, "its id in words", 'name = "Sunday lunch"'),
        "days": Key("On which weekdays it is held.", "mon to sun", "every day", 'days = ["fri", "sat"]'),
        "not_on": Key("Days on which it is not held after all.", "dates", "none", 'not_on = ["2026-12-25"]'),
        "on": Key("A function: held once, on this day.", _DAY, "none", 'on = "2026-12-12"'),
        "starts": Key("When the first guests sit down.", _CLOCK, "must be said", 'starts = "17:30"'),
        "ends": Key("When the last plate goes out. Not after starts, it is the next morning.", _CLOCK, "must be said",
                    'ends = "22:30"'),
        "set_by": Key("When all that it needs must be ready.", _CLOCK, "starts", 'set_by = "17:00"'),
        "covers": Key("How many guests are expected; by weekday where it differs.", "0 to 20000", "none",
                      "covers = { fri = 84, else = 48 }"),
        "arrivals": Key("Which share of the guests comes from that time on, evenly to the next. It adds up to 1.",
                        "times and parts", "evenly", 'arrivals = { "17:30" = 0.3, "19:00" = 0.7 }'),
        "counts": Key("Of a function: so many plates of a dish, instead of a mix.", "dishes and numbers", "none",
                      "counts = { broth-bowl = 40 }", 'on = "2026-12-12"\ncovers = 40'),
        "over": Key("What is made beyond the counts.", _PART, "0", "over = 0.03",
                    'on = "2026-12-12"\ncovers = 40\ncounts = { broth-bowl = 40 }'),
        "courses": Key("When each course of a function is plated.", "courses and times", "starts",
                       'courses = { main = "19:40" }',
                       'starts = "19:00"\nends = "22:00"\ncovers = 40\ncounts = { broth-bowl = 40 }'),
        "plate_up": Key("Of a function: so long a course is plated, and takes the hands of the benches on its plates.",
                        _DURATION, "0, all at once", 'plate_up = "25 min"',
                        'on = "2026-12-12"\ncovers = 40\ncounts = { broth-bowl = 40 }'),
    },
    "dishes": {
        "name": Key("What people read.", _SAID, "its id in words", 'name = "Braised lamb, soubise"'),
        "services": Key("Where it is offered.", "ids", "every service that is no function", 'services = ["dinner"]'),
        "course": Key("Guests take one dish of a course; shares of a course add up to at most 1.", _TEXT, "none",
                      'course = "main"'),
        "share": Key("Portions a cover, of the guests who choose. Without a course it may pass 1, as bread does.",
                     "0 to 20", "0", "share = 0.22"),
        "price": Key("What it sells for; it decides how much running out costs.", "money", "none", "price = 27"),
        "from": Key("The first day on which it is offered.", _DAY, "always", 'from = "2026-10-01"'),
        "until": Key("The last day on which it is offered.", _DAY, "always", 'until = "2027-02-28"'),
        "finish": Key("What is done at service, shown with what is left of it.", _SAID, "none",
                      'finish = "Glaze under the grill, 90 seconds."'),
        "plate": Key("What one plate takes of each prep or good, as it is eaten: net.", "ids and amounts", "nothing",
                     'plate = { broth = "180 ml" }'),
        "use_covers": Key("false where its sales do not follow the covers.", _YES, "true", "use_covers = false"),
        "was": _WAS,
    },
    "menus": {
        "name": Key("What people read.", _SAID, "its id in words", 'name = "Long table"'),
        "services": Key("Where it is offered.", "ids", "every service that is no function", 'services = ["dinner"]'),
        "share": Key("Which share of the guests takes it.", _PART, "0", "share = 0.4"),
        "dishes": Key("Its guests take one of each of these, and no other dish of those courses.", "ids",
                      "must be said", 'dishes = ["broth-bowl"]'),
    },
    "preps": {
        "name": Key("What people read, and labels say. In several languages the first is the plain one, for whoever"
                    " reads another; ids, codes and JSON stay.", _SAID, "must be said",
                    'name = { en = "Lamb jus", es = "Jugo de cordero" }'),
        "station": Key("Whose bench makes it.", "an id", "its maker's, else the first", 'station = "sauce"'),
        "store": Key("How it is kept.", "chilled, frozen, ambient, hot, time", "its maker's, else chilled",
                     'store = "chilled"'),
        "keeps": Key(
            "How long it is good. Days count day 1, which is the day of the first hot step, else of the start, and"
            " end at midnight; hours count to the minute from when it is ready. By storage where it differs. The rule"
            " book cuts what is longer.", "days or hours, or by storage", "must be said",
            'keeps = { chilled = "3 days", frozen = "60 days" }',
        ),
        "ready_to_eat": Key(
            "Eaten without a further step that kills what is harmful: the rule book's count of days applies, and goes"
            " on in whatever it goes into. false is for what is raw and cooked later.", _YES, "true",
            "ready_to_eat = true",
        ),
        "makes": Key("What one full recipe gives, after all losses.", _AMOUNT, "it comes with another prep",
                     'makes = "3.2 kg"'),
        "also_makes": Key("What comes out of the same run.", "preps and amounts", "nothing",
                          'also_makes = { scraps = "500 g" }'),
        "driven_by": Key("Whose need decides the size of a run that gives several preps.", "preps of the run",
                         "the prep itself", 'driven_by = ["new", "scraps"]', 'also_makes = { scraps = "500 g" }'),
        "sizes": Key("Which sizes the pots allow, in recipes.", "smallest, largest, step", "whole recipes",
                     "sizes = { smallest = 0.5, largest = 2, step = 0.5 }"),
        "uses": Key("What one full recipe takes, net: peeled and trimmed. What to buy for it follows from usable.",
                    "ids and amounts", "nothing", 'uses = { onions = "1.4 kg" }'),
        "takes_if_there": Key("Used when it is on hand, never planned for, and never part of a ring of recipes.",
                              "ids and amounts", "nothing", 'takes_if_there = { broth = "500 ml" }'),
        "instead": Key("What may go in instead of what it uses, as much of it, when that is not there: offered where"
                       " its line is late for it, and typed as start --instead. Nothing is made for it.",
                       "ids", "nothing", 'instead = { onions = "shallots" }', 'uses = { onions = "1 kg" }'),
        "held_in": Key("Its containers, and what one holds. \"2 deep sixth\" is an amount from then on.",
                       "names and amounts", "none", 'held_in = { "deep sixth" = "2.2 kg" }'),
        "plural": Key("The word for several of a container, where it takes no plain s.",
                      "text, or by container or language", "with s", 'plural = "half loaves"',
                      'held_in = { "half loaf" = "400 g" }'),
        "thaw": Key("How long it takes to thaw where it is kept frozen; the pull list says when to take it out.",
                    _DURATION, "0", 'thaw = "24 h"'),
        "par": Key("So much should stand ready whatever the covers say; by weekday where it differs.", _AMOUNT, "none",
                   'par = { fri = "8 kg", else = "5 kg" }'),
        "make_below": Key("Of a standing par: no run before it falls below this.", _AMOUNT, "the par",
                          'make_below = "1 kg"', 'par = "3 kg"'),
        "joins": Key("How many days beyond the first one run covers too; none covers one need only.", 'days, or "none"',
                     "0 days", 'joins = "2 days"'),
        "ready_before": Key("A cushion: ready so long before it is needed.", _DURATION, "the kitchen's",
                            'ready_before = "30 min"'),
        "fresh_for": Key("After so long, from when it is ready or thawed, it counts for no dish any more; it stays good"
                         " for staff and crumbs.", _DURATION, "as long as it keeps", 'fresh_for = "4 h"'),
        "serve_from": Key("Used fresh, or out of the freezer, or both: only what lies there counts, frozen food once"
                          " it is thawed; and the close offers the freezer only where it is served from that.",
                          "chilled, frozen", "wherever it lies", 'serve_from = ["chilled", "frozen"]',
                          'thaw = "24 h"'),
        "allergens": Key("Its own. Those of all that goes in come by themselves.", "names of EU 1169/2011, Annex II",
                         "none", 'allergens = ["mustard"]'),
        "density": Key("Grams in a millilitre: it turns kilograms into litres.", "g/ml", "none", "density = 1.03"),
        "each": Key("What one piece weighs or holds: it turns pieces into kilograms.", _AMOUNT, "none",
                    'each = "60 g"'),
        "exempt": Key("What was measured so that, by the rule book's table (see show rules), it needs no cold"
                      " and no date mark. It stands on label and record, and lapses when the recipe changes.",
                      "why, measured, on, by", "none", _EVIDENCE),
        "stable": Key("One of the closed list of what needs no cold, such as bread or sugar.", "a word of the list",
                      "none", 'stable = "bread"',
                      'steps = [{ do = "Bake", wait = "40 min", at = "200 C" }]'),
        "place": Key("Where it stands, where several places of its storage are there.", "an id", "the first that fits",
                     'place = "walk-in"'),
        "packed": Key("Sealed without air: the rule book's limit for that applies.", "vacuum", "not",
                      'packed = "vacuum"'),
        "enough": Key("As the kitchen's, for this prep.", _CHANCE, "the kitchen's", "enough = 0.9"),
        "service_level": Key("As the kitchen's, for this prep.", _CHANCE, "the kitchen's", "service_level = 0.99"),
        "cost_short": Key("What a missing portion costs. With cost_over it sets the level of its par from money.",
                          "money", "none", "cost_short = 9", "cost_over = 2"),
        "cost_over": Key("What a portion left over costs.", "money", "none", "cost_over = 2", "cost_short = 9"),
        "on_demand": Key("Its line waits until somebody starts it, and says so: it lies after all else, and nothing is"
                         " made for it.", _YES, "false",
                         "on_demand = true"),
        "note": Key("Said with the recipe.", _SAID, "none", 'note = { en = "Do not season.", es = "No sazonar." }'),
        "was": _WAS,
        "comes_from": Key(
            "Which kitchen of the group makes it. Everywhere else it is ordered and not made; of its recipe the unit of"
            " `makes` counts there, and the allergens.", "an id of [kitchens]", "made here", 'comes_from = "central"',
        ),
        "steps": Key("How it is made, in order; their keys are below.", "tables", "none",
                     'steps = [{ do = "Sweat, cover, purée", hands_on = "20 min", wait = "40 min" }]'),
    },
    "parasites": {
        "how": Key("frozen: cold enough and long enough, by the supplier's paper; farmed: fed so that it has none;"
                   " species: one that the code excepts; cooked: always cooked before guests get it.",
                   "frozen, farmed, species, cooked", "must be said", _PARASITES),
        "by": Key("On whose word: the supplier's, or whose initials.", _TEXT, "must be said", _PARASITES),
        "on": Key("The day of the paper, or of the word.", _DAY, "must be said", _PARASITES),
    },
    "approved_plan": {
        "number": Key("What the plan is called.", _TEXT, "must be said", _PLAN),
        "by": Key("Who approved it.", _TEXT, "must be said", _PLAN),
        "on": Key("On which day.", _DAY, "must be said", _PLAN),
    },
    "exempt": {
        "why": Key("Why it needs no cold, in a few words; of goods one of the rule book's list lifts the date mark"
                   " without figures.", _TEXT, "must be said", _EVIDENCE),
        "measured": Key("The figures: acidity, water activity, or both.", "pH 3.6; aw 0.86; pH 4.4, aw 0.89",
                        "must be said", _EVIDENCE),
        "on": Key("The day on which it was measured.", _DAY, "must be said", _EVIDENCE),
        "by": Key("Who measured it.", _TEXT, "must be said", _EVIDENCE),
    },
    "sizes": {
        "smallest": Key("The smallest run.", "recipes", "1, or less where step is", "sizes = { smallest = 0.5 }"),
        "largest": Key("The largest run; what is needed beyond it is another run.", "recipes", "none",
                       "sizes = { largest = 2 }"),
        "step": Key("From size to size.", "recipes", "smallest, at most 1", "sizes = { step = 0.5 }"),
    },
    "steps": {
        "do": Key("What is done.", _SAID, "must be said",
                  '{ do = { en = "Reduce by half", es = "Reducir a la mitad" } }'),
        "hands_on": Key("How long a cook is busy with it, whatever the size.", _DURATION, "0",
                        '{ do = "Season", hands_on = "20 min" }'),
        "hands_on_each": Key("How long a cook is busy for each full recipe.", _DURATION, "0",
                             '{ do = "Peel", hands_on_each = "10 min" }'),
        "wait": Key("How long it then takes by itself, at least.", _DURATION, "0", '{ do = "Simmer", wait = "3 h" }'),
        "wait_up_to": Key(
            "How long it may wait at most.", _DURATION,
            "wait where there is equipment, at or heat; as long as it keeps in the cold; else a quarter more",
            '{ do = "Rest", wait = "6 h", wait_up_to = "24 h" }',
        ),
        "attended": Key("The wait itself needs somebody there.", _YES, "false",
                        '{ do = "Stir", wait = "20 min", attended = true }'),
        "equipment": Key("What it stands in meanwhile.", "an id", "nothing",
                         '{ do = "Roast", wait = "45 min", equipment = "oven" }'),
        "or_in": Key("What it may stand in as well, as hot and for as long, when that is taken: offered where its line"
                     " is late for it, and typed as start --in.", "an id", "nothing",
                     '{ do = "Roast", wait = "45 min", equipment = "oven", or_in = "combi" }'),
        "racks": Key("How many racks a full recipe takes there.", "a number", "1",
                     '{ do = "Roast", wait = "45 min", equipment = "oven", racks = 2 }'),
        "holds": Key("Whether it holds its place through hands-on and wait, or while hands are on it.", "all or hands",
                     "all", '{ do = "Sear", hands_on = "10 min", equipment = "oven", holds = "hands" }'),
        "at": Key("At which temperature.", _DEGREES, "none", '{ do = "Roast", wait = "45 min", at = "160 C" }'),
        "core": Key("A temperature that the food must reach, which is read and recorded.", _DEGREES, "none",
                    '{ do = "Roast", wait = "45 min", core = "75 C" }'),
        "cook_as": Key("Which figure of the rule book its cooking is held to.", "a word of the list", "none",
                       '{ do = "Roast", wait = "45 min", core = "75 C", cook_as = "poultry" }'),
        "cools": Key("It cools down here, and the rule book's limits for that apply.", _YES, "false",
                     '{ do = "Chill", wait = "90 min", cools = true }'),
        "place": Key("Where it waits.", "an id", "none", '{ do = "Brine", wait = "12 h", place = "walk-in" }'),
        "station": Key("When another bench does it.", "an id", "the prep's", '{ do = "Bake", station = "pastry" }'),
        "uses": Key("What is taken at this step; amounts where an ingredient is taken at several.",
                    "ids, or ids and amounts", "all is taken at the start", '{ do = "Add", uses = ["onions"] }',
                    'uses = { onions = "1 kg" }'),
        "life_starts": Key("Its days count from before this step, where that is earlier than its first hot step.",
                           _YES, "false",
                           '{ do = "Cure", life_starts = true }, { do = "Poach", at = "80 C", wait = "10 min" }'),
        "note": Key("Said with the step.", _SAID, "none", '{ do = "Fold", note = "Not by machine." }'),
    },
    "goods": {
        "name": Key("What people read.", _SAID, "its id in words", 'name = "Lamb shoulder, bone in"'),
        "unit": Key("What it is counted in.", "mg g kg oz lb, ml l tsp tbsp fl-oz cup pint quart gal, each", "kg",
                    'unit = "l"'),
        "usable": Key("Which part trimming leaves: recipes are net, orders gross.", _PART, "1", "usable = 0.78"),
        "store": Key("How it is kept.", "chilled, frozen, ambient, hot, time", "ambient", 'store = "frozen"'),
        "thaw": Key("How long before it is used it is taken out.", _DURATION, "0", 'thaw = "36 h"'),
        "keeps_open": Key("How long it is good once it is open; the rule book's count where it says nothing.",
                          "days or hours", "none, chilled the rule book's", 'keeps_open = "3 days"'),
        "ready_to_eat": Key("Eaten as it comes; false is for what is raw and cooked later.", _YES, "true",
                            "ready_to_eat = false"),
        "cost": Key("What one unit costs as it is bought.", "money", "none", "cost = 11.20"),
        "allergens": Key("What is in it, as its packet says; [] says that nothing is. What says nothing is named to the"
                         " floor as not stated.", "names of EU 1169/2011, Annex II", "nothing is stated",
                         'allergens = ["milk"]'),
        "species": Key("Which fish, crustacean or mollusc it is: labels by the US list name it.", _TEXT, "not stated",
                       'species = "trout"', 'allergens = ["fish"]'),
        "exempt": Key("Why it needs no date mark once it is open, and with figures no cold. Without figures the rule"
                      " book's list counts: hard cheese and the like.", "why, measured, on, by", "none",
                      'exempt = { why = "hard cheese", on = "2026-09-02", by = "LM" }'),
        "stable": Key("One of the closed list of what needs no cold, such as bread or sugar.", "a word of the list",
                      "none", 'stable = "dry"'),
        "parasites": Key("Of fish that no step of the book cooks: why nobody need ask whether it was frozen against"
                         " parasites. Unsaid, load, show rules and the record name it.", "how, by, on", "none",
                         _PARASITES),
        "place": Key("Where it stands once it is open.", "an id", "the first that fits", 'place = "walk-in"'),
        "density": Key("Grams in a millilitre.", "g/ml", "none", "density = 0.92"),
        "each": Key("What one piece weighs or holds.", _AMOUNT, "none", 'each = "60 g"'),
        "held_in": Key("Its packs, and what one holds.", "names and amounts", "none", 'held_in = { sack = "10 kg" }'),
        "plural": Key("The word for several of a pack, where it takes no plain s.", "text, or by container or language",
                      "with s",
                      'plural = "loaves"', 'held_in = { loaf = "800 g" }'),
        "supplier": Key("Who brings it.", _TEXT, "none", 'supplier = "Quayside Produce"'),
        "pack": Key("It is ordered in whole ones of these.", _AMOUNT, "its unit", 'pack = "5 kg"'),
        "order_by": Key("The last moment of a day for an order.", _CLOCK, "none", 'order_by = "17:00"'),
        "lead": Key("How long from an order to the van.", _DURATION, "none", 'lead = "1 day"'),
        "note": _NOTE,
        "was": _WAS,
    },
    "containers": {
        "name": Key("What it is called in other languages than its own: what stands here is its name as held_in has it,"
                    " and an amount may be typed in any.", "a text by language", "its name in held_in",
                    'name = { es = "jarra" }'),
        "plural": Key("The word for several of it.", "text, or a text by language", "by the language's rule",
                      'plural = { es = "jarras" }'),
    },
    "tasks": {
        "name": Key("What is to be done.", _SAID, "its id in words", 'name = "Drain the fryer"'),
        "station": Key("Whose it is.", "an id", "the first", 'station = "sauce"'),
        "when": Key("When it is due.", "open, close or a time", "must be said", 'when = "close"'),
        "days": Key("On which weekdays.", "mon to sun", "every day", 'days = ["sun"]'),
        "hands_on": Key("How long a cook is busy with it.", _DURATION, "0", 'hands_on = "30 min"'),
        "reads": Key("Asks for a temperature, which goes into the record.", "C or F", "none", 'reads = "C"'),
        "place": Key("What it reads: the place, and what stands in it, is held to its limit by that reading.", "an id",
                     "none", 'place = "walk-in"'),
    },
    "people": {
        "name": Key("What people read beside the initials.", _TEXT, "the initials", 'name = "Leda M."'),
        "role": Key("What they may do: a sous all that a closing cook may, and that one all that a cook may. Where the"
                    " book lists nobody, anybody may do everything.", "cook, closing, sous", "cook", 'role = "sous"'),
        "language": Key("What they read on boards that are opened with their initials, and in their own commands.",
                        "a code", "their bench's, else the kitchen's", 'language = "es"'),
    },
    "kitchens": {
        "name": Key("What people read, on boards and on delivery notes.", _TEXT, "its id in words",
                    'name = "Central kitchen"'),
        "letter": Key("Stands before the codes of what comes from it: the same code may be another box elsewhere.",
                      "one capital letter, or two", "must be said", 'letter = "Q"'),
    },
    "vans": {
        "name": Key("What people read.", _TEXT, "its id in words", 'name = "Early van"'),
        "from": Key("Where it leaves from.", "an id of [kitchens]", "must be said", 'from = "central"'),
        "to": Key("Where it goes.", "ids of [kitchens]", "must be said", 'to = ["north", "south"]'),
        "days": Key("On which weekdays.", "mon to sun", "every day", 'days = ["mon", "thu"]'),
        "closes": Key("The last moment for an order: the last one before it leaves, the evening before where that is"
                      " later on the clock.", _CLOCK, "when it leaves", 'closes = "18:00"'),
        "leaves": Key("When it leaves. Where it leaves from, what is ordered by it is needed then.", _CLOCK,
                      "must be said", 'leaves = "06:30"'),
        "arrives": Key("When it has been to the last of its kitchens.", _CLOCK, "when it leaves",
                       'arrives = "07:30"'),
    },
}  # fmt: skip
