"""References on cooling, measuring, testing and selling milk."""

from __future__ import annotations

from herdbook.science.source import Source

JMFT = "J. Milk Food Technol."

# Properties of milk, heat and the pre-cooler
HEAT = {
    "MARYLAND3402": Source(
        "State of Maryland",
        "Calibration of farm milk tanks",
        place="COMAR 15.03.04.02(B)(1)(c)",
        note="Chart in gallons, or in pounds at 8.6 lb to the gallon.",
    ),
    "MINNESOTA1964": Source(
        "University of Minnesota",
        "Dairy Products newsletter 15",
        "1964",
        "July 1964",
        note="Accuracy of tank charts; calls 8.6 lb/gal a small but real source of error.",
    ),
    "DENSITY1961": Source(
        "Authors not shown",
        "Density of milk at low temperatures, 101 milks",
        "1961",
        "J. Dairy Sci. 44:416",
        "abstract",
    ),
    "DENSITYTREND": Source(
        "Authors not shown",
        "Density of milk between 18 and 44 degrees C",
        place="J. Dairy Sci., year not shown",
        read="through",
        note="Abstract on a secondary page: 0.00038 g/ml for each degree C.",
    ),
    "PEDIGOGY": Source(
        "Pedigogy",
        "Milk properties, teaching note",
        note="Specific heat 0.93 Btu/lb.degF for whole milk; weak, but agrees with 56 Btu per 60 degF.",
    ),
    "EXTENSION-COOLING": Source(
        "extension.org",
        "Refrigeration Systems for Milk Cooling",
        note="56 Btu/lb from 98 to 38 degF. Its 27 kJ/kg is a slip: 56 Btu/lb is 130 kJ/kg.",
    ),
    "NYSAFP2019": Source(
        "New York State Association for Food Protection",
        "Conference paper on cooling of milk",
        "2019",
        note="Quotes the ordinance of 2009, Item 18r, and 3-A 13-10, section E1.1; a ton is 12,000 Btu/h.",
    ),
    "COOLING-KWH": Source(
        "Authors not shown",
        "Electricity used by farm milk coolers",
        "1955",
        f"{JMFT} 18(12):306",
        "abstract",
        "The volume's year is reckoned from its number.",
    ),
    "AS1187": Source(
        "Standards Australia",
        "AS 1187, Farm milk cooling and storage systems",
        "1996",
        "cooling clause",
    ),
    "IFJ-COOLER": Source(
        "Irish Farmers Journal",
        "Plate coolers, with a Teagasc adviser's rule",
        note="Well set up, milk leaves 2 to 5 degC above the water; one measured bad case.",
    ),
    "FLEMING1986": Source(
        "Fleming, O'Keeffe",
        "Plate cooler trials",
        "1986",
        "Farm & Food Research 17(6)",
        "abstract",
    ),
    "WISCONSIN-ENERGY": Source(
        "University of Wisconsin Extension",
        "Dairy farm energy page",
        note="A pre-cooler saves up to 60 % with 55 degF well water.",
    ),
    "FARMERS2175": Source(
        "United States Department of Agriculture",
        "Farmers' Bulletin 2175",
        "1961",
        note="About 1961. The older 3-A test: 90 to 50 degF in 1 h, 50 to 40 degF in 1 more.",
    ),
    "COOLING-ALGEBRA": Source(
        "Herdbook",
        "Heat balance of a stirred tank",
        note="Textbook algebra worked out here and checked against a solver of differential equations.",
    ),
    "ORDINANCE18R": Source(
        "United States Public Health Service, Food and Drug Administration",
        "Grade A Pasteurized Milk Ordinance, Item 18r and Table 1",
        place="as repeated in Alabama Admin. Code 420-3-16-.08 and California Food & Agric. Code 35783",
        read="through",
    ),
}

# Growth of bacteria in milk
GROWTH = {
    "PENNSTATE-GROWTH": Source(
        "Penn State",
        "Plate counts of milk held at 40, 50 and 60 degF",
        read="through",
        note="Reprinted by a raw-milk co-operative; rounds the classic table of the Department of "
        "Agriculture.",
    ),
    "PALUDETTI2018": Source(
        "Paludetti and others",
        "Storage of raw milk at 2 and 4 degC",
        "2018",
        "Irish J. Agric. Food Res. 57",
        "abstract",
    ),
    "FLUORESCENS1982": Source(
        "Authors not shown",
        "Generation times of Pseudomonas fluorescens in raw milk",
        "1982",
        "J. Food Prot. 45(2):132",
        "abstract",
    ),
    "RATKOWSKY1982": Source(
        "Ratkowsky and others",
        "Relationship between temperature and growth rate of bacterial cultures",
        "1982",
        "J. Bacteriol. 154:1222-1226",
        "through",
        "Cited in a later abstract; the lowest temperature is the reader's to give.",
    ),
}

# Tables whose rows each name their own text
TABLES = {
    "NAMED-IN-TABLE": Source(
        "Herdbook", "Texts named row by row in the table itself", note="See the source of each row."
    ),
}

# Stick, chart and weight
MEASURING = {
    "MARYLAND3405": Source(
        "State of Maryland",
        "Tolerances of farm milk tanks",
        place="COMAR 15.03.04.05, with NIST Handbook 44 section 4.42",
    ),
    "MISSISSIPPI75": Source(
        "State of Mississippi",
        "Farm milk tanks: rod divisions and charts",
        place="Mississippi Code 75-31-207, 75-31-215",
    ),
    "WISCONSIN-STICK": Source(
        "State of Wisconsin",
        "Storage-tank operator training: reading a stick between two marks",
        note="A fuel tank; the arithmetic is the same.",
    ),
    "WEIGHTS1963": Source(
        "Authors not shown",
        "Farm and plant weights of bulk milk",
        "1963",
        "J. Dairy Sci. 46(2):161",
        "abstract",
    ),
}

# Quality
QUALITY = {
    "ALABAMA-TABLE1": Source(
        "State of Alabama",
        "Standards for grade A milk, Table 1",
        place="Admin. Code 420-3-16-.08",
        note="Repeats the federal model ordinance.",
    ),
    "EU853": Source(
        "European Union",
        "Regulation (EC) 853/2004, Annex III, Section IX, Chapter I, Part III",
        "2004",
        read="through",
        note="Criteria as quoted in an Italian food-law forum and in Irish Vet. J. 62:36.",
    ),
    "IVJ2017": Source(
        "Irish Veterinary Journal",
        "Seasonal factors and the rolling geometric mean of cell counts",
        "2017",
        "article s13620-017-0083-z, Table 2",
        note="Prints both ways of taking the three-month mean.",
    ),
    "CDCB-SCC16": Source(
        "Council on Dairy Cattle Breeding",
        "Report SCC16",
        "2015",
        note="Same scale as USDA AIPL SCC10, 2009.",
    ),
    "VT-PIPELINE1997": Source("Virginia Tech", "Dairy Pipeline", "1997", "May 1997"),
    "G1656": Source("University of Nebraska-Lincoln", "NebGuide G1656, mastitis and cell counts"),
    "TANK-COUNT-LOSS": Source(
        "Author not known",
        "Loss of milk by tank cell count",
        read="memory",
        note="Recalled; the published table was not found.",
    ),
    "CRYOSCOPE": Source(
        "Laboratory cryoscope handbook",
        "Fixed points of the Hortvet scale, after Henningson 1969",
        "1969",
    ),
    "HORTVET-OLDER": Source("Author not known", "Older conversion of Hortvet degrees", read="memory"),
    "ANALYSER": Source("Milk analyser handbook", "Added water from the freezing point"),
}

# Being paid
MONEY = {
    "ORDER-FORMULAS": Source(
        "University of Wisconsin, Agricultural and Applied Economics",
        "Federal order price formulas",
        "2005",
        "pages of 2002 and 2005, with a trade article of 22 October 2017",
    ),
    "FORMULAS2000": Source(
        "United States Department of Agriculture, Agricultural Marketing Service",
        "Price Formulas - 2000",
        "2000",
    ),
    "LANCASTER2000": Source(
        "Penn State, in Lancaster Farming", "Component prices of June 2000", "2000", "22 July 2000"
    ),
    "MILKBUSINESS2017": Source(
        "Milk Business", "Class and product prices of January 2017", "2017", "3 February 2017"
    ),
    "MIDEAST-POOL": Source(
        "United States Department of Agriculture",
        "Computation of the producer price differential, Mideast order",
        "2017",
        "Cuyahoga County base",
        note="The month is inferred from the prices on the sheet, which are those of January 2017.",
    ),
    "CLS0825": Source(
        "United States Department of Agriculture, Agricultural Marketing Service",
        "Announcement of class and component prices CLS-0825",
        "2025",
        "4 September 2025",
    ),
    "A00835": Source(
        "United States Department of Agriculture, Risk Management Agency",
        "Actuarial record A00835, reinsurance year 2026",
        "2026",
        note="Prints the factors in force since 1 June 2025: 1.5890, 0.9100 and the make allowances.",
    ),
    "CFR1030": Source(
        "United States Code of Federal Regulations",
        "7 CFR 1030.61, 1030.62, 1030.73",
        note="Upper Midwest order.",
    ),
    "CFR1150": Source("United States Code of Federal Regulations", "Dairy promotion program, 7 CFR 1150.152"),
    "CELLS2009": Source("Trade article", "What the cell-count adjustment is worth", "2009", "March 2009"),
    "LYNDEN2019": Source(
        "Lynden Tribune", "Milk price per hundredweight and per gallon", "2019", "August 2019"
    ),
}

MILK: dict[str, Source] = {**HEAT, **GROWTH, **TABLES, **MEASURING, **QUALITY, **MONEY}
