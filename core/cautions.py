"""The cautions that are shown before measuring and printed on the sheet, in our own words."""

from typing import Final

CAUTIONS: Final = (
    "Isolate the machine, lock it off and try to start it before you reach in. Wind, water, weight "
    "or a neighbouring drive can still turn a shaft: block it.",
    "Release stored energy first: springs, pressure, raised loads, charged drives.",
    "Measure only a shaft that stands still. Turn it by hand, one person giving the word; no loose "
    "sleeves, no cloth and no gloves near it while it moves.",
    "Carry the shaft on rated supports on both sides before anything is loosened. A jack lifts; "
    "only blocks hold. Use lifting gear for heavy parts.",
    "Burrs and keyway edges cut. Look and stone them down before hands or gauge come near.",
    "Let solvents dry and keep flames and hot tools away from them.",
)

DEFERENCE: Final = (
    "The bearing maker's instructions, the rules of the site and the judgement of licensed people "
    "come before anything in this program. It measures and records; it never clears a machine for "
    "work."
)
