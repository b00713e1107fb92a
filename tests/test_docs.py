"""The examples in docstrings are true."""

import doctest
import importlib
import pkgutil
from importlib.util import find_spec
from pathlib import Path

import pytest

import seatproof.core
import seatproof.devices
import seatproof.gui

WITH_QT = ("PySide6", "pyqtgraph")


def modules_with_examples():
    for package in (seatproof.core, seatproof.devices, seatproof.gui):
        for module in pkgutil.walk_packages(package.__path__, f"{package.__name__}."):
            spec = find_spec(module.name)
            assert spec is not None
            assert spec.origin is not None
            source = Path(spec.origin).read_text(encoding="utf-8")
            if ">>> " in source and not any(name in source for name in WITH_QT):
                yield module.name


MODULES = sorted(modules_with_examples())


def test_examples_are_looked_for_in_all_three_folders():
    assert {"seatproof.core.units", "seatproof.core.plan.fields"} <= set(MODULES)
    assert any(name.startswith("seatproof.devices.") for name in MODULES)


@pytest.mark.parametrize("name", MODULES)
def test_examples_are_true(name):
    result = doctest.testmod(importlib.import_module(name), raise_on_error=False)
    assert result.attempted > 0
    assert result.failed == 0
