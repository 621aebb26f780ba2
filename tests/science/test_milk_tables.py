"""Every table of the milk side names known sources in its first line."""

import pytest

from herdbook.science.sources import SOURCES
from herdbook.science.tables_as_published import source_of

TABLES = (
    "announced_prices.toml",
    "chart_tolerances.csv",
    "cooling_rules.toml",
    "emptying_rules.toml",
    "price_formulas.toml",
    "quality_limits.toml",
    "tank_count_loss.csv",
)


@pytest.mark.parametrize("name", TABLES)
def test_a_table_names_its_sources_first(name):
    keys = source_of(name)
    assert keys
    assert all(key in SOURCES for key in keys), keys
