"""A short run of what a fuzzer does for ten minutes by hand; see `fuzzing`."""

import importlib.util
import json
from pathlib import Path
from types import ModuleType

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

HERE = Path(__file__).parent
SAMPLES = json.loads((HERE / "data" / "samples.json").read_text("utf-8"))
STREAMS = [bytes.fromhex(s["hex"]) for s in SAMPLES if s["encoding"] == "bytes"]


@pytest.fixture(scope="module")
def fuzzing() -> ModuleType:
    spec = importlib.util.spec_from_file_location("fuzzing", HERE / "fuzzing.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def mutated(stream: bytes, at: int, byte: int, kind: int) -> bytes:
    at %= len(stream) + 1
    return (
        stream[:at] + stream[at + 1 :],
        stream[:at] + bytes([byte]) + stream[at + 1 :],
        stream[:at] + bytes([byte]) + stream[at:],
        stream[:at] + stream[:at] + stream[at:],
    )[kind % 4]


mutations = st.builds(
    mutated, st.sampled_from(STREAMS), st.integers(0, 60), st.integers(0, 255), st.integers(0, 3)
)


@settings(max_examples=1500, deadline=None)
@given(st.binary(min_size=3, max_size=3), st.one_of(mutations, st.binary(max_size=40)))
def test_any_stream_holds_to_the_rules(fuzzing: ModuleType, choices: bytes, stream: bytes) -> None:
    fuzzing.check(choices + stream)


def test_every_sample_with_every_format_and_every_cut(fuzzing: ModuleType) -> None:
    for stream in STREAMS:
        for number in range(len(fuzzing.formats())):
            for cut in range(len(stream) + 1):
                fuzzing.check(bytes([number, 1, cut]) + stream)
