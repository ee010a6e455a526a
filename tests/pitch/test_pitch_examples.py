"""The examples in the documentation are true, and every public function has one."""

import doctest
import importlib
import inspect

import pytest

import lugbook.pitch

MODULES = ("hertz", "notes", "texts", "intervals", "words")


@pytest.mark.parametrize("name", MODULES)
def test_examples_are_true(name: str) -> None:
    results = doctest.testmod(importlib.import_module(f"lugbook.pitch.{name}"))

    assert results.attempted > 0
    assert results.failed == 0


@pytest.mark.parametrize("name", [name for name in lugbook.pitch.__all__ if name[0].islower()])
def test_every_public_function_has_an_example(name: str) -> None:
    assert ">>> " in (inspect.getdoc(getattr(lugbook.pitch, name)) or "")
