"""Map the folders core, devices, gui, resources and examples under the one name ``seatproof``.

The rest of the project's metadata is in pyproject.toml. The list of packages is found rather than
written down so that a new sub-package cannot be forgotten in it.
"""

from setuptools import find_packages, setup

CODE = ("core", "devices", "gui")
DATA = ("resources", "examples")

setup(
    packages=[
        *(f"seatproof.{name}" for name in find_packages(include=[f"{top}*" for top in CODE])),
        *(f"seatproof.{name}" for name in DATA),
    ],
    package_dir={f"seatproof.{name}": name for name in (*CODE, *DATA)},
    package_data={
        **{f"seatproof.{name}": ["**/*"] for name in DATA},
        "seatproof.core": ["py.typed"],
        "seatproof.devices": ["py.typed"],
        "seatproof.gui": ["py.typed"],
    },
)
