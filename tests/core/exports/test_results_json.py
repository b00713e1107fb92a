"""Results as JSON: they keep to the published schema, and the schema to the program."""

import json
from collections.abc import Callable
from typing import Any

import jsonschema
import pytest

from seatproof.core.evaluation.evaluate import evaluate
from seatproof.core.exports.results_json import NotSealedError, results_json, results_schema
from seatproof.core.files import resource
from seatproof.core.sheet.compose import compose


@pytest.fixture(scope="module")
def published() -> dict[str, Any]:
    text = resource("schemas", "results-1.schema.json").read_text(encoding="utf-8")
    schema: dict[str, Any] = json.loads(text)
    return schema


@pytest.fixture(scope="module")
def sealed(bench_of: Callable[..., Any]) -> Any:
    bench = bench_of(more='[seat.taper]\ntolerance = 0.008\nsense = "diametral"')
    bench.fill(lambda point: f"99.99{point.station}")
    content = compose(bench.state, evaluate(bench.state), "Seatproof test")
    bench.inspection.seal(content.model_dump(mode="json"), "Done.")
    return bench.state


def test_schema_is_a_schema(published: dict[str, Any]) -> None:
    jsonschema.Draft202012Validator.check_schema(published)


def test_published_schema_is_that_of_the_program(published: dict[str, Any]) -> None:
    assert published == json.loads(json.dumps(results_schema()))


def test_results_keep_to_the_schema(sealed: Any, published: dict[str, Any]) -> None:
    document = json.loads(results_json(sealed))
    jsonschema.validate(document, published, cls=jsonschema.Draft202012Validator)


@pytest.mark.parametrize(
    "spoil",
    [
        lambda document: document.pop("verdict"),
        lambda document: document.update(verdict="fine"),
        lambda document: document.update(more=1),
        lambda document: document["covers"].update(sha256="0"),
        lambda document: document["readings"][0].update(counts="yes"),
        lambda document: document["requirements"][0]["numbers"].update(unit="inch"),
    ],
)
def test_other_documents_do_not_keep_to_it(
    sealed: Any, published: dict[str, Any], spoil: Callable[[Any], Any]
) -> None:
    document = json.loads(results_json(sealed))
    spoil(document)
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(document, published, cls=jsonschema.Draft202012Validator)


def test_figures_are_those_of_the_readings(sealed: Any) -> None:
    """By hand: stations 1, 2, 3 were given 99.991, 99.992 and 99.993 on a seat of 100 h6."""
    document = json.loads(results_json(sealed))
    size, taper = document["requirements"]
    assert size["numbers"] | {"expanded": "", "probability": "", "coverage_factor": ""} == {
        "unit": "mm",
        "lower": "99.978",
        "upper": "100",
        "smallest": "99.9910",
        "largest": "99.9930",
        "small_unit": "µm",
        "expanded": "",
        "coverage_factor": "",
        "probability": "",
    }
    assert size["numbers"]["expanded"] == "2.0"
    assert size["numbers"]["coverage_factor"] == "2"
    assert float(size["numbers"]["probability"]) > 0.99
    # 2 µm between stations 40 mm apart are 3 µm over the 60 mm of the seat.
    assert taper["numbers"]["largest"] == "3.0"
    assert taper["numbers"]["upper"] == "8"
    assert [reading["value"] for reading in document["readings"]] == (
        ["99.991"] * 2 + ["99.992"] * 2 + ["99.993"] * 2
    )
    assert document["covers"] == {"event": sealed.last.seq, "sha256": sealed.last.hash}


def test_open_inspection_has_no_results(bench_of: Callable[..., Any]) -> None:
    with pytest.raises(NotSealedError, match="is not sealed yet"):
        results_json(bench_of().state)
