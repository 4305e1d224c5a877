"""Small books, as somebody writes one on the first evening: no bench and no guests, one service, a late bar."""

from __future__ import annotations

BAKERY = """
name = "Bakery"
time_zone = "Europe/Vienna"
day_starts = "02:00"
rules = "food-code-2022"

[preps.starter]
name = "Starter"
keeps = "2 days"
makes = "1 kg"
steps = [{ do = "Feed", hands_on = "5 min", wait = "8 h", wait_up_to = "12 h" }]

[preps.loaves]
name = "Loaves"
keeps = "1 day"
makes = "20 each"
par = "20 each"
uses = { starter = "500 g" }
steps = [
  { do = "Mix", hands_on = "20 min", wait = "2 h", wait_up_to = "3 h" },
  { do = "Shape", hands_on = "25 min", wait = "40 min", wait_up_to = "60 min" },
  { do = "Bake", hands_on = "5 min", wait = "45 min" },
]

[preps.jam]
name = "Jam"
keeps = "5 days"
makes = "2 kg"
par = "2 kg"
make_below = "500 g"
"""

CAFE = """
name = "Cafe"
time_zone = "America/Chicago"
day_starts = "04:00"
rules = "food-code-2022"
ready_before = "0 min"

[stations.hot]
name = "Hot"
hours = "07:00-10:30, 11:00-15:00"

[stations.cold]
name = "Cold"
hours = "08:00-15:00"

[equipment.oven]
name = "Oven"
places = 1

[services.lunch]
days = ["fri", "sat", "sun"]
starts = "12:00"
ends = "14:00"
covers = 30

[dishes.soup]
name = "Soup"
services = ["lunch"]
share = 0.5
plate = { soup = "250 ml", croutons = "20 g" }

[dishes.pie]
name = "Pie"
services = ["lunch"]
share = 0.4
plate = { pie = "1 each" }

[preps.soup]
name = "Soup"
station = "hot"
keeps = "2 days"
makes = "5 l"
sizes = { smallest = 0.5, step = 0.5 }
uses = { stock = "4 l" }
steps = [{ do = "Cut", hands_on = "30 min" }, { do = "Simmer", hands_on = "5 min", wait = "40 min" }]

[preps.stock]
name = "Stock"
station = "hot"
store = "frozen"
keeps = { frozen = "30 days", chilled = "3 days" }
thaw = "12 h"
makes = "10 l"
steps = [{ do = "Roast", hands_on = "15 min", wait = "45 min", equipment = "oven", at = "200 C" },
         { do = "Simmer", hands_on = "10 min", wait = "4 h" }]

[preps.croutons]
name = "Croutons"
station = "cold"
keeps = "4 days"
makes = "1 kg"
steps = [{ do = "Dry", hands_on = "10 min", wait = "20 min", equipment = "oven", at = "150 C" }]

[preps.dough]
name = "Dough"
station = "cold"
keeps = "3 days"
makes = "2 kg"
steps = [{ do = "Mix", hands_on = "15 min", wait = "1 h", wait_up_to = "20 h" }]

[preps.pie]
name = "Pie"
station = "cold"
keeps = "6 h"
makes = "12 each"
uses = { dough = "1 kg" }
steps = [{ do = "Fill", hands_on = "40 min" }, { do = "Bake", wait = "30 min", equipment = "oven", at = "190 C" }]
"""

BAR = """
name = "Late bar"
time_zone = "Europe/London"
day_starts = "05:00"
rules = "food-code-2022"

[stations.bar]
name = "Bar"
hours = "15:00-03:00"
cooks = 1

[services.night]
on = "2026-10-31"
starts = "18:00"
ends = "02:00"
covers = 60

[services.party]
on = "2026-11-01"
starts = "19:00"
ends = "23:00"
covers = 40
counts = { plate = 40 }
plate_up = "20 min"

[dishes.plate]
name = "Plate"
services = ["night", "party"]
share = 0.6
plate = { ham = "80 g", pickles = "30 g" }

[preps.ham]
name = "Ham"
station = "bar"
keeps = "8 h"
makes = "2 kg"
sizes = { smallest = 1, step = 1 }
steps = [{ do = "Slice", hands_on = "30 min", hands_on_each = "10 min" }]

[preps.pickles]
name = "Pickles"
station = "bar"
keeps = "5 days"
makes = "3 kg"
steps = [{ do = "Cut", hands_on = "40 min", wait = "3 h", wait_up_to = "2 days" }]
"""

BOOKS = {"bakery": BAKERY, "cafe": CAFE, "late bar": BAR}
