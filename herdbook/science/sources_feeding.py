"""References on feeds, rations, intake, requirements, feed stores, corrected milk and manure."""

from __future__ import annotations

from herdbook.science.source import Source

JDS = "J. Dairy Sci."

# Books of requirements and what was read of them
BOOKS = {
    "ARITHMETIC": Source("Herdbook", "Plain arithmetic", note="A definition; nothing to look up."),
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
        "Equations that Erickson and others 2023 do not print are recalled.",
    ),
    "NASEM2021-CH3": Source(
        "National Academies of Sciences, Engineering, and Medicine",
        "Nutrient Requirements of Dairy Cattle, 8th rev. ed., chapter 3, on energy units",
        "2021",
        "National Academies Press",
        note="Itself warns that its energies belong to one cow on one diet.",
    ),
    "ERICKSON2023": Source(
        "Erickson, Hanigan, Wattiaux",
        "Learning from the narrative and model in NASEM (2021)",
        "2023",
        "University of Wisconsin-Madison, version 1.0.0",
        note="Prints equations of NASEM 2021 with equation and page numbers, and corrections made since.",
    ),
    "HANDOUT680": Source(
        "Author not shown",
        "Ration guidelines drawn from Nutrient Requirements of Dairy Cattle (2001)",
        place="teaching handout 7201686",
        note="Printed requirements of a 680 kg lactating and a 751 kg dry cow, used as checks.",
    ),
    "BARNARD": Source(
        "Author not shown",
        "Dairy nutrition chapter reproduced at barnardhealth.us",
        note="Works from NRC 2001; defines physically effective fibre and prints absorption coefficients.",
    ),
    "NRC2005": Source(
        "National Research Council",
        "Mineral Tolerance of Animals, 2nd rev. ed.",
        "2005",
        "National Academies Press",
        "through",
        "Levels as quoted by extension.org; those recalled are marked in the table.",
    ),
    "NRC1971": Source(
        "National Research Council",
        "A Guide to Environmental Research on Animals",
        "1971",
        "National Academy of Sciences",
        "memory",
        "The formula reproduces published temperature and humidity pairs from three places.",
    ),
}

# Papers
PAPERS = {
    "GAINES": Source(
        "Gaines", "4 % fat-corrected milk", place="encyclopaedia entry on fat-corrected milk", read="through"
    ),
    "ALLEN2019": Source(
        "Allen, Sousa, VandeHaar",
        "Equation to predict feed intake from diet and milk yield",
        "2019",
        JDS,
        "abstract",
    ),
    "LEE2021": Source(
        "Lee and others", "Prediction of intake of Holsteins", "2021", "Animal Bioscience 34(10)"
    ),
    "HAYIRLI2003": Source(
        "Hayirli and others",
        "Models for predicting dry matter intake of Holsteins during the prefresh transition period",
        "2003",
        f"{JDS} 86:1771",
        "abstract",
    ),
    "DESOUZA2019": Source(
        "de Souza and others", "Predicting intake of lactating cows", "2019", f"{JDS} 102:7948", "memory"
    ),
    "MERTENS2009": Source(
        "Mertens", "NDF eaten at best milk", "2009", "quoted by Grant, Miner Institute", "through"
    ),
    "MOE1972": Source(
        "Moe, Flatt, Tyrrell", "Net energy value of feeds for lactation", "1972", f"{JDS} 55", "abstract"
    ),
    "SWANSON1977": Source(
        "Swanson",
        "Factors for computing requirements of protein for maintenance of cattle",
        "1977",
        JDS,
        "abstract",
    ),
    "TYRRELL1965": Source(
        "Tyrrell, Reid", "Prediction of the energy value of cow's milk", "1965", f"{JDS} 48:1215", "abstract"
    ),
    "WEISS2004": Source(
        "Weiss, Wyatt",
        "Macromineral digestion by lactating dairy cows: estimating phosphorus excretion via manure",
        "2004",
        f"{JDS} 87:2158",
        "abstract",
    ),
    "KAUFFMAN2001": Source(
        "Kauffman, St-Pierre",
        "The relationship of milk urea nitrogen to urine nitrogen excretion",
        "2001",
        f"{JDS} 84:2284",
        "abstract",
    ),
    "JONKER1998": Source(
        "Jonker, Kohn, Erdman",
        "Using milk urea nitrogen to predict nitrogen excretion",
        "1998",
        f"{JDS} 81:2681",
        "abstract",
    ),
    "MEYER2012": Source(
        "Meyer and others", "Milk urea nitrogen in field records", "2012", "R. Bras. Zootec."
    ),
    "NENNICH2005": Source(
        "Nennich and others",
        "Prediction of manure and nutrient excretion from dairy cattle",
        "2005",
        f"{JDS} 88:3721",
        "memory",
        "Also ASAE D384.2. Equations recalled; the standard was not opened.",
    ),
    "DIETS2020": Source("PMC7201084", "Prepartum and lactation diets", "2020", "table 1, footnote c"),
    "TMR2017": Source("PMC5355475", "A total mixed ration and its parts", "2017", "table 2"),
    "FRONT2017": Source("Frontiers in Nutrition", "Acidified diets before calving", "2017", "4:26"),
    "KERTZ2010": Source("Kertz", "Urea feeding to dairy cattle", "2010", "Prof. Anim. Sci. 26:257"),
    "JASB2012": Source("J. Anim. Sci. Biotechnol.", "Diet with selenium premix", "2012", "3:10, table 1"),
    "DIKMEN2009": Source(
        "Dikmen, Hansen", "Is the temperature-humidity index the best indicator of heat stress?", "2009", JDS
    ),
    "BUCKEYE2003": Source("Ohio State University", "Buckeye Dairy News 5(2)", "2003"),
}

# Extension, handbooks, trade press
EXTENSION = {
    "NFTA": Source("National Forage Testing Association", "Forage Analyses Procedures", place="appendix A3"),
    "UW414": Source(
        "University of Wisconsin-Madison", "Course 414, Energy calculation step by step", note="On NRC 2001."
    ),
    "UWEX-RFQ": Source("University of Wisconsin Extension", "Relative forage quality"),
    "VT2001": Source("Virginia Tech", "Dairy newsletter on the new NRC energy values", "2001"),
    "VT2006": Source("Virginia Tech", "Dairy Pipeline", "2006", "May, relative feed value"),
    "VT2008": Source("Virginia Tech", "Dairy Pipeline", "2008", "May, feed efficiency"),
    "VCE-DASC51": Source("Virginia Cooperative Extension", "Income over feed cost", place="DASC-51"),
    "PSU-UA458": Source("Penn State Extension", "Income over feed cost", place="UA458"),
    "ALLTECH2016": Source("Alltech", "Income over feed cost", "2016", "worked example"),
    "CALCAG2019": Source("Calculating Agriculture", "Textbook", "2019", "p. 14-9"),
    "PD2015": Source("Progressive Dairy", "The language of nutrition", "2015"),
    "PD-NEFF": Source("Progressive Dairy", "Nitrogen efficiency"),
    "MANITOBA": Source("Manitoba Agriculture", "Non-fibre carbohydrate of feeds"),
    "VT2011": Source("Stallings, Virginia Tech", "Starch, sugar and soluble fibre", "2011", "dairyherd"),
    "LINN2011": Source("Linn, University of Minnesota Extension", "Ration fibre", "2011", "AgWeb"),
    "AKINS2013": Source("Akins and others, University of Wisconsin-Madison", "Field rations", "2013"),
    "GRANT-STARCH": Source("Grant", "Optimizing starch concentrations", place="extension.org"),
    "QLD": Source("Queensland Department of Agriculture and Fisheries", "Balancing the diet"),
    "HUTJENS-30844": Source("Hutjens", "Nitrogen efficiency", "2021", "Hoard's Dairyman 30844"),
    "HUTJENS-31003": Source("Hutjens", "NASEM 2021 protein", "2021", "Hoard's Dairyman 31003"),
    "HUTJENS-FCM": Source("Hutjens, University of Illinois", "Fat-corrected milk", place="extension.org"),
    "DNMC2024": Source("Trade article", "Energy-corrected milk, crude protein", "2024", "dnmcmilk.com"),
    "DHI2010": Source(
        "US dairy herd records centre",
        "DHI glossary",
        "2010",
        read="through",
        note="Quoted on a secondary page; the glossary itself was not read.",
    ),
    "IFCN": Source(
        "International Farm Comparison Network", "Standard milk", read="through", note="Quoted on two pages."
    ),
    "MILK-PROTEIN-638": Source(
        "International convention", "Milk protein as nitrogen times 6.38", read="memory"
    ),
    "CHASE": Source("Chase, Cornell University", "Nitrogen efficiency of herds"),
    "PSU2023": Source("Penn State Extension", "Milk urea nitrogen", "2023"),
    "HFG499": Source("Hay & Forage Grower", "Forage fibre intake", place="article 499"),
    "MONTANA": Source("Montana State University Extension", "Pearson square worked examples"),
    "SHAPIRO": Source("Shapiro", "Pearson square slides"),
    "PEARSON-QA": Source(
        "Question and answer page", "Pearson square, beet pulp and gluten meal", note="Wrong in print."
    ),
    "ALABAMA": Source("Alabama Cooperative Extension", "By-product feeds"),
    "AGPROUD25640": Source("Agproud", "Dry matter and as fed", place="article 25640"),
    "AGPROUD45564": Source("Agproud", "Reading a laboratory report", place="article 45564"),
    "UNION": Source("Rutgers Cooperative Extension, Union County", "As-fed and dry-matter basis"),
    "ONTARIO": Source("Ontario Ministry of Agriculture", "Mycotoxins in feed"),
    "JACOBSEN": Source("Jacobsen", "Dry matter by microwave"),
    "VICTORIA": Source("Agriculture Victoria", "Moisture of straw by microwave"),
    "MWPS7": Source("MidWest Plan Service", "Dairy Freestall Housing and Equipment", place="MWPS-7 tables"),
    "CORNELL2022": Source(
        "Cornell Cooperative Extension", "Determining forage inventories with pen and paper", "2022"
    ),
    "ISU-C6-82": Source("Iowa State University Extension", "Capacities of silos and bins", "2015", "C6-82"),
    "HOLMES": Source("Holmes, University of Wisconsin", "Bunker density and face removal"),
    "HOLMES-MUCK2002": Source("Holmes, Muck, University of Wisconsin", "Packing of bunkers", "2002"),
    "HUBBARD2021": Source("Feed maker's table", "Shrink of feeds", "2021"),
    "ROBINSON": Source("Robinson, UC Davis", "Refusals", place="Dairy Global"),
    "EXT-REFUSALS": Source("extension.org", "Cost of refusals"),
    "HOARDS1838": Source("Hoard's Dairyman", "Refusals", "2010", "article 1838"),
    "SDSU-BUNK": Source(
        "Rusche, South Dakota State University; Boyles, Ohio State University", "Bunk scoring", "2019"
    ),
    "BOLTON-BUNK": Source(
        "Bolton, University of Wisconsin and Penn State", "Bunk scoring for dairy", place="Hay & Forage"
    ),
    "FLUHARTY-BUNK": Source("Fluharty, Ohio State University", "Bunk scoring in the feedlot"),
    "BARRY-W324": Source(
        "Barry", "Loading accuracy of 33 herds", place="dairy science meeting, abstract W324"
    ),
    "STANTON1615": Source(
        "Stanton, LeValley, Colorado State University Extension",
        "Feed composition for cattle and sheep",
        place="fact sheet 1.615",
        note="How far feeds lie from tabulated values; the same figures stand in Preston's tables.",
    ),
    "SILVA": Source("Silva-del-Río, UC Davis", "Loading tolerance in 26 herds", place="Progressive Dairy"),
    "SELKO": Source("Trace-mineral maker", "Comparison of NRC 2001 and NASEM 2021"),
    "WEISS2017": Source("Weiss", "Copper for dairy cows", "2017"),
    "WEISS2023": Source("Weiss", "Precision mineral nutrition for dairy cows", "2023"),
    "WEISS2019": Source("Weiss", "Vitamins for dairy cows", "2019", "Engormix"),
    "EUROFINS": Source("Eurofins Agro", "Cation-anion difference of forages", "2013"),
    "MERCK": Source("Merck Veterinary Manual", "Maximum tolerable levels", note="From the beef NASEM 2016."),
    "EXT-MTL": Source("extension.org", "Maximum tolerable levels after NRC 2005"),
    "CLEMSON": Source("Clemson University Extension", "Nitrate in forage"),
    "DAIRYLAND": Source("Dairyland Laboratories", "Nitrate sheet", note="Cites Crowley 1985 and others."),
    "PURDUE": Source("Purdue Extension", "Nitrate in forage"),
    "AJAS2012": Source(
        "Asian-Australasian J. Anim. Sci.", "Cation-anion difference in early lactation", "2012", "25:486"
    ),
    "ANIONIC": Source("Maker of anionic supplements", "Guide to close-up rations", note="One vendor's view."),
    "UKY-THI": Source("University of Kentucky", "Temperature-humidity index of dairy cows"),
    "UFL-THI": Source("De Vries, University of Florida", "Temperature-humidity index"),
    "EAGLE-THI": Source("Eagle Direct", "Temperature-humidity index bands", place="eagle.direct"),
    "DA-THI": Source(
        "Dairy Australia", "Temperature-humidity chart", read="through", note="Copied on another page."
    ),
    "VETBOOK-THI": Source("Veterinary handbook for cattle, Australia", "Temperature-humidity index"),
    "DEWPOINT-THI": Source("Published page", "Temperature-humidity index by dew point"),
    "PSU-SIEVES": Source("Penn State Extension", "Particle separator", "2013", read="memory"),
    "GRANT31849": Source("Grant", "Particles on the top sieve", place="Hoard's Dairyman 31849"),
    "ECM-0.3246": Source("Trade formula", "Energy-corrected milk, variant with 0.3246", read="memory"),
}

# Law and official guidance
LAW = {
    "21CFR573.920": Source("US Food and Drug Administration", "Selenium", place="21 CFR 573.920"),
    "21CFR558.355": Source(
        "US Food and Drug Administration",
        "Monensin",
        place="21 CFR 558.355",
        note="Paragraph (f) not read again.",
    ),
    "MONENSIN-HUTJENS": Source("Hutjens", "Monensin for dairy cows", "2004"),
    "FDA-AFLATOXIN": Source(
        "US Food and Drug Administration",
        "Aflatoxin action levels in feed",
        read="through",
        note="Copy of the Missouri Department of Agriculture.",
    ),
    "FDA-CPG-MILK": Source(
        "US Food and Drug Administration", "Compliance Policy Guide, aflatoxin M1 in milk"
    ),
    "FDA-DON-CHART": Source(
        "US Food and Drug Administration",
        "Deoxynivalenol advisory levels",
        "2010",
        "test maker's chart FD214",
        "through",
        "Gives dairy cattle over four months 10 ppm in grain and 5 ppm in the ration.",
    ),
    "FDA-DON-EXT": Source(
        "US Food and Drug Administration",
        "Deoxynivalenol advisory levels",
        "",
        "Ontario and University of Kentucky pages",
        "through",
        "Put dairy cattle with all other animals: 5 ppm in grain, grain at most 40 % of the ration.",
    ),
    "FDA-FUMONISIN": Source(
        "US Food and Drug Administration", "Fumonisin guidance", "", "Kansas State University 2024", "through"
    ),
}

FEEDING: dict[str, Source] = BOOKS | PAPERS | EXTENSION | LAW
