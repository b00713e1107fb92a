from seatproof.core.files import example, resource


def test_resource_is_found():
    assert resource("iso286", "it_grades.csv").is_file()


def test_examples_lie_beside_the_resources():
    assert example().is_dir()
    assert example().parent == resource().parent
    assert example("a", "b") == example() / "a" / "b"
