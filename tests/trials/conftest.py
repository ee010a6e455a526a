"""Laws of the search hold whatever is believed of the ear: few ears are played here, for speed."""

from collections.abc import Iterator

import pytest

from lugbook.trials import belief


@pytest.fixture(scope="module", autouse=True)
def few_ears() -> Iterator[None]:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(belief, "_EARS", 32)
        patch.setattr(belief, "_TRIED", 16)
        yield
