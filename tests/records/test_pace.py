"""The player's own pace at the rods, in the user's settings."""

import pytest
from pydantic import ValidationError

from lugbook.records import UserSettings


def test_settings_without_a_pace_stay_valid() -> None:
    """Three seconds a rod and fifteen to turn the drum over, until a star was timed (judgement)."""
    settings = UserSettings.model_validate({"writer": "kqmzpt"})

    assert (settings.pace, settings.turn_over_s) == (3.0, 15.0)


@pytest.mark.parametrize(
    "values", [{"pace": 0.0}, {"pace": -3.0}, {"pace": 61.0}, {"turn_over_s": -1.0}, {"pace": "quick"}]
)
def test_a_pace_that_cannot_be_is_refused(values: dict[str, object]) -> None:
    with pytest.raises(ValidationError, match=next(iter(values))):
        UserSettings.model_validate({"writer": "kqmzpt", **values})
