"""One good way to do each chore on the yard of the tests, and hostile ways to fill in each field."""

from __future__ import annotations

from typing import Any

ESC = "\x1b"

# chore -> the words that do it, every field filled in where the chore allows it
GOOD: dict[str, dict[str, Any]] = {
    "farm": {
        "name": "Hollow Farm", "zone": "America/Denver", "system": "metric", "decimal": ",", "currency": "€",
        "day_start": "240", "cooling_rule": "us-model-ordinance", "dry_step": "4", "rain_step": "12 mm",
        "feed_days": "10", "invented": "yes",
    },
    "person": {"name": "Eve", "roles": ["hand", "nutritionist"], "login": "eve", "active": "yes"},
    "pen": {"name": "Maternity", "kind": "close-up", "walk": "3", "head": "12 cows"},
    "head": {"pen": "High", "head": "54", "counted": "-20"},
    "pen-cows": {
        "pen": "High", "since": "today", "weight": "1,480 lb", "days_in_milk": "160 days", "days_pregnant": "60",
        "older": "65%", "condition": "3.25", "milk": "82.5 lb", "fat": "4.1", "protein": "3.2",
    },
    "feed": {
        "name": "Rolled corn", "kind": "grain", "most": "20 lb", "caution": "Adapt slowly.", "place": "bin 3",
        "price": "$0.12/lb", "order_days": "5 days",
    },
    "analysis": {
        "feed": "Corn silage", "dry": "34.1 %", "sampled": "-3", "basis": "as received",
        "value": ["cp=2.9", "ndf=15.1 %", "starch=nd", "nel=0.7 Mcal/lb"], "laboratory": "By the lake",
        "number": "A-17", "method": "near-infrared", "moisture": "65.9", "reported": "-1", "method_of": "ndf=wet",
        "sure": "no",
    },
    "analyses": {
        "sample": ['{"feed": "Corn silage", "dry": "34.1 %", "value": ["cp=8.9", "ndf=nd"], "number": "A-18"}',
                   '{"feed": "Mineral mix", "moisture": "3", "value": ["ca=19.5"], "method": "wet"}'],
        "file": f"{'ab' * 32} 3 lab march.csv",
    },
    "mix": {"feed": "Mineral mix", "part": ["Corn silage=100 %"], "since": "+1"},
    "dry-matter": {
        "feed": "corn", "dry": "33.1", "moisture": "66.9", "sample": ["100 g=33 g", "120 g=39.84"], "tested": "640",
        "method": "microwave", "sure": "no",
    },
    "price": {"feed": "corn", "price": "54.50", "since": "today"},
    "ration": {
        "name": "Far dry 1", "item": ["Corn silage=9 kg dm", "Mineral mix=0.5"], "basis": "as fed", "since": "+2",
        "feeding": "2", "despite": "agreed with the vet", "file": f"{'cd' * 32} 3 dry cows.csv",
        "seen": "9",
    },
    "targets": {
        "ration": "High 1", "target": ["cp=15 16 17 %", "dm_intake=48 50 53 lb", "ca=0.65 0.7 -", "p=0.38"],
        "since": "today", "why": "house rule", "from_guideline": "high",
        "seen": "99",
    },
    "pen-ration": {
        "pen": "Far dry", "ration": "High 1", "since": "+1", "feeding": "2", "call": "95%", "feedings": "2",
    },
    "mixer": {"name": "Small wagon", "holds": "2 ton", "step": "2 lb", "least": "800 lb"},
    "mixer-order": {"feed": ["Mineral mix", "Corn silage"], "mixer": "Big", "since": "+1"},
    "feeding-shares": {"pen": "High", "share": ["1=60 %", "2=40"], "since": "+1"},
    "load": {
        "pen": ["High"], "mixer": "Big", "feeding": "1", "started": "-10",
        "planned": ["Corn silage=1200 lb", "Mineral mix=20"], "loaded": ["Corn silage=1180", "Mineral mix=20 lb"],
        "sure": "no",
    },
    "load-sheet": {
        "day": "today", "began": "0905", "fed": ["Corn silage=1,180 lb @ 0912", "Mineral mix=+20"], "planned_load": "1",
        "pen": ["High", "Far dry"], "mixer": "Big", "feeding": "1",
        "planned": ["Corn silage=1200 lb", "Mineral mix=20"], "drop": ["Far dry=1190 @ 9:30"], "sure": "no",
    },
    "weigh": {"load": "1", "feed": "Mineral", "scale": "2735", "weighed": "-170", "sure": "no", "lot": "B 12"},
    "drop": {"load": "1", "pen": "High", "weight": "60", "dropped": "-150"},
    "refusal": {
        "pen": "High", "weight": "84 lb", "fed": "today", "dry": "40%", "went": "re-fed", "to": "Far dry",
        "weighed": "-5",
    },
    "bunk-score": {"pen": "High", "score": "1", "scale": "feedlot", "read": "-30", "words": "crumbs at the far end"},
    "push-up": {"pen": "High", "pushed": "-10"},
    "trough": {"pen": "High", "state": "cleaned", "seen": "-15", "words": "silt"},
    "call-advice": {"rule": "dairy", "since": "+1"},
    "milk-price": {"price": "21.40", "since": "-3", "words": "last month's statement"},
    "milk-cheque": {
        "first": "-14", "last": "-1", "paid": "18,412.60", "taken": "1,020.15", "received": "today",
        "reference": "C 118", "words": "by bank",
    },
    "weather": {"air": "82 F", "humidity": "60 %", "of": "today", "rain": "0.4 in"},
    "rain": {"rain": "14 mm", "of": "-1"},
    "delivery": {
        "feed": "Corn silage", "weight": "24.6 ton", "price": "54.50", "reprice": "yes", "lot": "second cutting",
        "supplier": "From the east field", "came": "-30",
    },
    "stock-count": {"feed": "Corn silage", "found": "410 ton", "counted": "-20"},
    "new-face": {"feed": "Corn silage", "what": "bunker 2", "opened": "-40"},
    "walk": {
        "cow": "412", "what": "off feed", "words": "ears down", "pen": "High", "done": "temperature taken",
        "again": "+4", "vet": "yes", "earlier": "412 lame", "seen": "-5",
    },
    "walk-close": {"walk": "412", "outcome": "eats again", "closed": "now"},
    "tank": {"name": "South", "holds": "3000 kg", "mark": ["100 mm=500 kg", "200 mm=1200", "12 in=2600 lb"]},
    "milking": {"tank": "North", "started": "-90", "ended": "-20", "cows": "104 cows", "milk": "4,250 lb"},
    "milked": {"tank": "North", "ended": "-1", "cows": "101", "milk": "4100"},
    "temperature": {
        "reading": "4.1 °C", "tank": "North", "read": "-5", "agitator": "yes", "typed": "4.1 °C",
        "source": "thermometer",
    },
    "readings": {
        "tank": "North", "reading": ["-30=39.4F", "-20=3.9 °C", "-10=38.9"], "probe": "recorder",
        "source": "round chart", "file": f"{'ef' * 32} 3 logger.csv",
    },
    "reading-profile": {
        "name": "North logger", "delimiter": "semicolon", "decimal": "comma", "date_order": "dmy", "unit": "C",
        "zone": "-06:00", "time_column": "Time", "date_column": "1", "temperature_column": "Milk", "probe": "logger",
    },
    "pickup": {
        "tank": "North", "weight": "8000", "stick": "15 in", "temperature": "37.5 F", "ticket": "T-1", "hauler": "Ned",
        "picked": "-30", "emptied": "yes",
    },
    "alarm": {"words": "The compressor is quiet.", "kind": "cooling", "tank": "North", "late": "yes", "may_wait": "no"},
    "alarm-step": {"alarm": "1", "step": "cleared", "words": "It was the breaker."},
    "acknowledge": {"alarm": "1", "words": "on my way"},
    "alarm-rules": {
        "first": ["phone", "mail"], "later": ["neighbour"], "repeat": "5", "escalate": "15", "silence": "45",
        "quiet_from": "2200", "quiet_to": "5:30", "quiet_all": "no",
    },
    "level": {"tank": "North", "stick": "15 in", "read": "-5"},
    "thermometer-check": {
        "tank": "North", "shown": "39.6 F", "reference": "38.4 F", "thermometer": "logger north",
        "against": "the lab's",
        "checked": "-10",
    },
    "wash": {
        "what": "tank", "tank": "North", "steps": ["rinse", "detergent", "rinse", "acid"], "begins": "160 F",
        "ends": "120 F", "chemical": ["Invented soap", "Invented acid"], "washed_by": "Cleo", "washed": "-30",
        "words": "ball clean",
    },
    "cooling-rule": {"rule": "us-virginia", "since": "+1"},
    "cooling-goal": {"limit": "39F", "counted": "end", "within": "60", "since": "today", "over": "no"},
    "milk-result": {
        "tank": "North", "sampled": "-60", "fat": "3.9", "protein": "3.2", "cells": "180", "bacteria": "5",
        "urea": "11.5", "freezing": "-0.541", "laboratory": "County lab", "number": "A1", "reported": "today",
        "words": "antibody test pending",
    },
    "milk-limits": {"cells": "us-cells", "bacteria": "us-bacteria", "since": "+1"},
    "emptying-rule": {"rule": "us-new-york", "since": "+1"},
    "treatment": {
        "cow": "412", "drug": "Invented udder tube", "milk": "96 h", "meat": "4 d", "hours_from": "veterinarian",
        "given": ["-60", "-5"], "amount": "1 tube", "route": "in the quarter",
        "reason": "hot quarter", "given_by": "Cleo",
        "ordered": "the farm's veterinarian", "order": "P-7", "label_words": "8 milkings",
    },
    "milk-back": {"treatment": "412", "back": "-1", "reason": "the veterinarian said so"},
    "held-milk-in": {"tank": "North", "cow": "412", "went": "-30", "milk": "22 lb", "words": "wrong unit"},
    "milk-test": {
        "tank": "North", "result": "not clear", "told": "the buyer", "sampled": "-20", "number": "L-3",
        "words": "found above the level",
    },
    "dump": {"tank": "North", "milk": "4,310 lb", "reason": "held milk in it", "dumped": "-10", "emptied": "yes"},
    "note": {"words": "The north gate sticks.", "about": "High pen"},
    "strike": {"entry": "20", "because": "typed for the wrong tank"},
}  # fmt: skip

# what must be there before a chore can be done
BEFORE: dict[str, tuple[str, dict[str, Any]]] = {
    "alarm-step": ("alarm", {"words": "The compressor is quiet."}),
    "acknowledge": ("alarm", {"words": "The compressor is quiet."}),
    "load-sheet": ("pen-ration", {"pen": "Far dry", "ration": "High 1"}),
    "milked": ("milking", {"started": "-60"}),
    "milk-back": (
        "treatment",
        {
            "cow": "412",
            "drug": "Invented udder tube",
            "milk": "96",
            "meat": "96",
            "hours_from": "label",
            "given": "-60",
        },
    ),
    "walk": ("walk", {"cow": "412", "what": "lame", "seen": "-90"}),
    "walk-close": ("walk", {"cow": "412", "what": "lame", "seen": "-90"}),
}

NOT_HERE = {"start"}
"""Done once, when a book is begun; tested by itself."""

# texts that no field of that kind can mean
BAD: dict[str, tuple[str, ...]] = {
    "measure": (
        "-5", "-0.001", "9e9", "999999999999", "abc", "5 parsecs", "5 lb lb", "1..5", "nan", "inf", "1/0", "0x10",
        "--", f"{ESC}[31m5{ESC}[0mx", "5; DROP TABLE entry", "٣٣", "9" * 59, "0" * 70 + "5", "5 s",
    ),
    "count": ("-3", "2.5", "1e3", "x", "999999999999999", "nan", "1/3", "0" * 60 + "1", "5 lb", f"{ESC}]0;x"),
    "number": ("-3", "0.5", "5.1", "x", "1e3", "nan", "3.25 lb", "0" * 60 + "3", f"{ESC}]0;x"),
    "moment": ("25:00", "tomorrow", "9999", "2031-01-01 10:00", "1999-01-01 10:00", "x", "-99999", "+5",
               "2026-02-30 10:00", "9999-12-31T23:59:59Z", "0001-01-01T00:00:00Z"),
    "moment=measure": ("-20", "-20=", "x=39F", "25:00=39F", "-20=abc", "-20=200F", "+5=39F", "-20=5 lb", "-20=39=38"),
    "later": ("25:00", "9999", "2031-01-01 10:00", "1999-01-01 10:00", "x", "+900", "+", "2026-02-30 10:00", "-5"),
    "walkname": ("9", "lame", "412 slow", "#0", "# 1", "x", "4", "%"),
    "score": ("6", "-1", "1.5", "0+", "0-", "x", "2 3", "10", "two"),
    "day": ("tomorrow", "32", "2031-01-01", "1999-01-01", "x", "2026-02-30", "-99999", "+4000"),
    "name": ("nobody", "*", "%", "' OR 1=1 --", "99", "\u202egihH", "x" * 500),
    "word": ("zebra", "*", "1", "x" * 500),
    "words": ("x" * 5000,),
    "yesno": ("maybe", "2", "x" * 500),
    "priceperweight": ("-1", "abc", "5/", "5/parsec", "1e9", "5/°F", "99999999999", "/lb", "5//lb"),
    "loadname": ("9", "y 1", "x", "-1", "1 1", "2026-03-09 99", "#99999", "#0", "# 1"),
    "nutrientkey=nutrientvalue": ("cp", "cp=", "=5", "cq=5", "cp=x", "cp=-1", "cp=1e99", "cp=5 lb", "cp=5=6", "cp=nan",
                                  "cp=" + "0" * 50 + "5", "cp=999999999999"),
    "figurekey=targetbounds": ("cp", "cp=", "cq=5", "cp=17 16 15", "cp=1 2 3 4", "cp=x", "cp=- - -", "cp=5 lb",
                               "dm_intake=5 %", "cp=9999999999999999 9999999999999999"),
    "name=measure": ("Corn silage", "Corn silage=", "=5", "Nothing=5", "Corn silage=-5", "Corn silage=5 F",
                     "Corn silage=999999999", "Corn silage=5=6"),
    "nutrientkey=word": ("cp", "cp=", "=wet", "cq=wet", "cp=zebra", "cp=wet=wet"),
    "fileread": ("x", "ab 3 x.csv", f"{'AB' * 32} 3 x", f"{'ab' * 32} x y", f"{'ab' * 32} 3"),
    "rowoffields": ("x", "{}", "[1]", '{"feed": 3}', '{"feed": "nothing"}', '{"feed": "Corn silage", "dry": "x"}',
                    '{"feed": "Corn silage", "dry": "34", "value": ["cq=5"]}', "{" * 3000, "NaN"),
    "measure=measure": ("10 in", "10 in=", "x=5", "10 in=-5", "10 F=5", "10 in=5 F", "-1 in=5", "99999 in=5"),
}  # fmt: skip
BAD["labnumber"] = ("many", "180 kg", "-1", "9999999999")
BAD["freezingpoint"] = ("cold", "4 C", "0.1", "-0.54 kg")
BAD["statedhours"] = (
    "-3",
    "2.5",
    "x",
    "?",
    "as usual",
    "9601",
    "401 d",
    "96 lb",
    "1e3",
    "nan",
    f"{ESC}]0;x",
    "4 weeks",
)
BAD["count=measure"] = ("1", "1=", "=5", "0=50", "13=5", "x=5", "1=-5", "1=101", "1=5 lb", "1.5=50")
BAD["name=weight @ time"] = (
    "Corn silage",
    "Corn silage=",
    "=5",
    "Nothing=5",
    "Corn silage=-5",
    "Corn silage=5 F",
    "Corn silage=5 @ 2460",
    "Corn silage=5 @ x",
    "Corn silage=@ 0512",
    "Corn silage=5 @ 0512 @ 0513",
)
BAD["timeofday"] = ("25:00", "1260", "x", "-5", "5", "now", "0512b", f"{ESC}]0;x")
BAD["name=perhead"] = BAD["name=measure"]
BAD["perhead"] = (*BAD["measure"], "0")
BAD["air"] = tuple(text for text in BAD["measure"] if text not in ("-5", "-0.001"))
BAD["pricepermilk"] = BAD["priceperweight"]
BAD["money"] = ("-1", "abc", "5/lb", "1e9", "99999999999", "5.005", "5 lb", "nan", "$", f"{ESC}]0;x")
