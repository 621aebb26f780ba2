"""References on feeds, rations, intake, requirements, feed stores, corrected milk and manure."""

from __future__ import annotations

from herdbook.science.source import Source

FEEDING: dict[str, Source] = {
    "ARITHMETIC": Source("Herdbook", "Plain arithmetic", note="definition; nothing to look up"),
    # Books of requirements
    "NRC2001": Source(
        "National Research Council",
        "Nutrient Requirements of Dairy Cattle, 7th rev. ed.",
        "2001",
        "National Academy Press",
        "memory",
        "Equations recalled; they reproduce printed requirements of 680 kg cows; feed energies are memory.",
    ),
    "NASEM2021": Source(
        "National Academies of Sciences, Engineering, and Medicine",
        "Nutrient Requirements of Dairy Cattle, 8th rev. ed.",
        "2021",
        "National Academies Press",
        "memory",
        "Equations not found in Erickson and others 2023 are recalled.",
    ),
    "ERICKSON2023": Source(
        "Erickson, Hanigan, Wattiaux",
        "Learning from the narrative and model in NASEM (2021)",
        "2023",
        "University of Wisconsin-Madison, version 1.0.0",
        note="Prints the equations of NASEM 2021 with equation and page numbers, and later corrections.",
    ),
    "NRC2005": Source(
        "National Research Council",
        "Mineral Tolerance of Animals, 2nd rev. ed.",
        "2005",
        "National Academies Press",
        "through",
        "Levels as quoted by extension.org.",
    ),
    "NRC1971": Source(
        "National Research Council",
        "A Guide to Environmental Research on Animals",
        "1971",
        "National Academy of Sciences",
        "memory",
        "The formula reproduces five published temperature and humidity pairs.",
    ),
    "HANDOUT680": Source(
        "Teaching handout, author not shown",
        "Ration guidelines drawn from Nutrient Requirements of Dairy Cattle (2001), 680 kg cow",
        place="handout 7201686",
    ),
}
