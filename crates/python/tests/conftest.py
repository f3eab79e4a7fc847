"""Where the drawings and the program are."""

import os
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[3]


@pytest.fixture(scope="session")
def demo() -> Path:
    return ROOT / "fixtures" / "demo"


@pytest.fixture(scope="session")
def program() -> Path:
    """The command-line program, built by check.sh."""
    return Path(os.environ["PLATEWRIGHT"])
