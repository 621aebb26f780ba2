"""The feeds of the made-up farm: invented analyses and prices, and the dry matter that silage truly has on a day.

No figure here is a laboratory's or a table's. They lie where such feeds usually lie, so that a ration of them can be
judged, and some are left "not determined" as on real reports. For real cows: the farm's own analyses.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from herdbook.demo.cows import Dice
from herdbook.demo.happenings import SILAGE_WETTER_POINTS, place

LABORATORY = "invented for the made-up farm"

INVENTED_MIX = "Invented mix of a made-up farm. For a real one its own label is the rule."


@dataclass(frozen=True, slots=True)
class MadeUpFeed:
    """One feed.

    Args:
        name: as the mixer calls it.
        kind: what sort of feed.
        price: as typed, a ton as fed.
        dry_percent: dry matter of the analysed sample.
        figures: nutrients on dry matter, as typed.
        most: the most a head may get in a day, as typed; empty for none.
        caution: what must be read before it is fed.
        wanders_points: how far its dry matter wanders from day to day.
        rained_on: share of the rain's effect that it takes.
    """

    name: str
    kind: str
    price: str
    dry_percent: float
    figures: str
    most: str = ""
    caution: str = ""
    wanders_points: float = 0.0
    rained_on: float = 0.0

    @property
    def values(self) -> list[str]:
        """The figures one by one, `cp=7.9`."""
        return self.figures.split()


FEEDS = (
    MadeUpFeed(
        "Corn silage", "forage", "54", 33.6,
        "cp=7.9 sol_cp=54 ammonia_cp=8 ndicp=1.1 adicp=0.7 adf=25.2 ndf=41.6 lignin=3.1 ndfd30=56 undf240=11.1 "
        "starch=32.6 starchd7=76 sugar=1.6 fat=3.1 ash=4.1 lactic=4.8 acetic=1.7 butyric=nd ph=3.9 ca=0.23 p=0.22 "
        "mg=0.16 k=1.09 na=0.02 cl=0.22 s=0.11 fe=170 cu=6 zn=27 mn=31 se=nd co=nd i=nd mo=nd nitrate_n=230 don=nd",
        wanders_points=0.25, rained_on=1.0,
    ),
    MadeUpFeed(
        "Haylage", "forage", "72", 41.2,
        "cp=20.4 sol_cp=58 ammonia_cp=11 ndicp=2.6 adicp=1.5 adf=33.7 ndf=42.3 lignin=6.8 ndfd30=47 undf240=18.8 "
        "starch=1.6 sugar=4.1 fat=2.7 ash=10.6 lactic=5.6 acetic=2.2 butyric=0.1 ph=4.6 ca=1.28 p=0.33 mg=0.27 "
        "k=2.72 na=0.04 cl=0.47 s=0.25 fe=310 cu=9 zn=26 mn=42 se=nd co=nd i=nd mo=1.4 nitrate_n=410",
        wanders_points=0.45, rained_on=1 / 3,
    ),
    MadeUpFeed(
        "Grass hay", "forage", "190", 88.2,
        "cp=11.4 ndicp=3.9 adicp=1.0 adf=37.1 ndf=59.2 lignin=5.2 ndfd30=nd undf240=nd starch=1.4 sugar=8.7 "
        "fat=2.3 ash=7.9 ca=0.52 p=0.25 mg=0.19 k=1.86 na=0.03 cl=0.60 s=0.18 fe=190 cu=7 zn=24 mn=64 se=nd",
    ),
    MadeUpFeed(
        "Wheat straw", "forage", "120", 91.4,
        "cp=4.2 ndicp=nd adicp=nd adf=50.9 ndf=76.3 lignin=8.4 starch=1.0 sugar=1.2 fat=1.4 ash=7.2 ca=0.27 "
        "p=0.08 mg=0.11 k=1.40 na=0.06 cl=0.40 s=0.10 fe=nd cu=nd zn=nd mn=nd se=nd",
    ),
    MadeUpFeed(
        "Ground corn", "grain", "182", 87.8,
        "cp=8.6 sol_cp=18 ndicp=0.8 adicp=0.3 adf=3.2 ndf=9.1 lignin=nd starch=71.7 starchd7=59 sugar=2.1 fat=3.9 "
        "ash=1.4 ca=0.03 p=0.28 mg=0.11 k=0.38 na=0.01 cl=0.06 s=0.10 fe=38 cu=2 zn=22 mn=6 se=nd aflatoxin=nd "
        "don=0.4",
    ),
    MadeUpFeed(
        "Soybean meal", "protein", "418", 89.3,
        "cp=52.9 sol_cp=19 ndicp=0.9 adicp=0.4 adf=5.9 ndf=9.5 lignin=nd starch=1.9 sugar=11.3 fat=1.4 ash=6.8 "
        "ca=0.36 p=0.70 mg=0.31 k=2.31 na=0.02 cl=0.04 s=0.42 fe=160 cu=16 zn=52 mn=39 se=0.2",
    ),
    MadeUpFeed(
        "Soy hulls", "wet by-product", "205", 90.6,
        "cp=12.7 ndicp=4.2 adicp=1.2 adf=45.8 ndf=64.0 lignin=2.2 starch=1.1 sugar=1.4 fat=2.2 ash=4.9 ca=0.59 "
        "p=0.14 mg=0.24 k=1.41 na=0.01 cl=0.03 s=0.12 fe=520 cu=8 zn=48 mn=13 se=nd",
    ),
    MadeUpFeed(
        "Whole cottonseed", "fat", "365", 91.1,
        "cp=22.7 ndicp=2.3 adicp=1.8 adf=39.2 ndf=49.3 lignin=12.3 starch=1.2 sugar=nd fat=19.5 ash=4.3 ca=0.16 "
        "p=0.62 mg=0.36 k=1.17 na=0.02 cl=0.06 s=0.24 fe=84 cu=9 zn=36 mn=15 se=nd aflatoxin=nd",
        most="7 lb", caution="Gossypol and fat set a limit (invented maximum). Mouldy seed may carry aflatoxin.",
    ),
    MadeUpFeed(
        "Milk mineral mix", "mineral", "860", 96.8,
        "cp=0 adf=0 ndf=0 starch=0 sugar=0 fat=0 ash=91 ca=14.8 p=1.8 mg=4.7 k=0.6 na=9.6 cl=6.1 s=1.1 fe=1900 "
        "cu=300 zn=2300 mn=2000 se=9 se_added=8.8 co=26 i=30 vit_a=290000 vit_d=64000 vit_e=1400 mo=nd",
        most="3 lb", caution=f"{INVENTED_MIX} Selenium and copper poison cows when overfed.",
    ),
    MadeUpFeed(
        "Dry cow mineral mix", "mineral", "910", 96.5,
        "cp=0 adf=0 ndf=0 starch=0 sugar=0 fat=0 ash=88 ca=10.2 p=1.2 mg=6.8 k=0.4 na=5.2 cl=8.0 s=2.1 fe=1600 "
        "cu=340 zn=2600 mn=2100 se=13 se_added=12.6 co=24 i=34 vit_a=420000 vit_d=105000 vit_e=5200 mo=nd",
        most="1 lb", caution=f"{INVENTED_MIX} Selenium and copper poison cows when overfed.",
    ),
    MadeUpFeed(
        "Close-up mix", "premix", "640", 91.0,
        "cp=31 sol_cp=nd adf=9 ndf=17 lignin=nd starch=6 sugar=5 fat=2.4 ash=29 ca=4.4 p=0.7 mg=2.7 k=1.1 na=0.5 "
        "cl=7.9 s=2.9 fe=700 cu=105 zn=420 mn=380 se=2.2 se_added=2.0 co=5 i=6 vit_a=78000 vit_d=21000 vit_e=1150",
        most="4 lb", caution=f"{INVENTED_MIX} Acid salts: only before calving, with urine pH watched.",
    ),
)  # fmt: skip
"""In the order they came into the book."""

TESTED = ("Corn silage", "Haylage")
"""The feeds whose dry matter is tested twice a week."""


class Bunkers:
    """What the feeds truly are on a day, whether or not anybody tests them.

    Args:
        dice: chance of a day and a subject.
        today: the last day of the book.
    """

    def __init__(self, dice: Dice, today: date) -> None:
        self._dice = dice
        self._today = today
        self._feeds = {feed.name: feed for feed in FEEDS}

    def dry_share(self, name: str, day: date) -> float:
        """Dry matter of a feed on a day, as a share."""
        feed = self._feeds[name]
        wetter = SILAGE_WETTER_POINTS.get(place((self._today - day).days), 0.0) * feed.rained_on
        wandered = (
            self._dice(day, f"dry {name}").gauss(0, feed.wanders_points) if feed.wanders_points else 0.0
        )
        return (feed.dry_percent - wetter + wandered) / 100
