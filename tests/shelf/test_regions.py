import pytest

from packyoke.shelf import regions

NOT_READ = ("CA", "AU", "NZ", "other")


@pytest.mark.parametrize("region", regions.REGIONS)
def test_every_region_has_a_line(region):
    lines = regions.law_lines(region)
    assert lines
    for line in lines:
        assert (line.source is None) == (region in NOT_READ)
        assert line.source is None or line.text.endswith(regions.DEFERS)
        assert not any(word in line.text for word in ("safe ", "legal", "guaranteed", "up to date"))


def test_a_state_has_the_lines_of_its_country_first():
    country, state = regions.law_lines("US"), regions.law_lines("US-NY")
    assert state[: len(country)] == country
    assert len(state) > len(country)


@pytest.mark.parametrize(
    ("region", "most_w", "below_w", "pedal_only"),
    [
        ("EU", 250.0, None, True),
        ("GB", 250.0, None, False),
        ("US", None, 750.0, False),
        ("US-NY", None, 750.0, False),
        ("other", None, None, False),
    ],
)
def test_power_and_throttle(region, most_w, below_w, pedal_only):
    # Regulation (EU) 168/2013 article 2(2)(h); SI 2015/24; 15 USC 2085 "less than 750 watts".
    found = regions.figures(region)
    assert (found.most_w, found.below_w, found.pedal_only) == (most_w, below_w, pedal_only)


@pytest.mark.parametrize(
    ("region", "km_h"),
    [
        ("EU", 25.0),
        ("GB", 15.5 * 1.609344),
        ("US", 20 * 1.609344),
        ("US-NY", 20 * 1.609344),
    ],
)
def test_assist_limits(region, km_h):
    # Regulation (EU) 168/2013; SI 2015/24: 15.5 mph; 36 CFR 1.4: 20 mph. Kept to 0.01 km/h.
    assert regions.assist_limit_m_s(region) * 3.6 == pytest.approx(km_h, abs=0.01)


@pytest.mark.parametrize("region", NOT_READ)
def test_no_document_no_limit(region):
    """What nobody has read is not stated from memory."""
    assert regions.figures(region) == (None, None, None, None, False)


def test_an_unknown_region():
    with pytest.raises(ValueError, match="unknown region"):
        regions.law_lines("Atlantis")
