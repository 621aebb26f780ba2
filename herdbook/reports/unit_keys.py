"""Keys that carry their unit, for JSON and CSV: `cp` in % is `cp_percent`."""

from __future__ import annotations

WORDS = {
    "%": "percent",
    "kg": "kg",
    "g": "g",
    "mg": "mg",
    "ug": "ug",
    "g/kg": "g_per_kg",
    "mg/kg": "mg_per_kg",
    "ppb": "ppb",
    "Mcal": "Mcal",
    "Mcal/kg": "Mcal_per_kg",
    "IU": "IU",
    "IU/kg": "IU_per_kg",
    "mEq/kg": "mEq_per_kg",
    "cents": "cents",
}


def key_with_unit(key: str, unit: str) -> str:
    """The key with its unit behind it; plain numbers have none.

    Raises:
        KeyError: a unit that has no word here.
    """
    return f"{key}_{WORDS[unit]}" if unit else key
