"""Scores again, by the independent reference, the recipes that `score_again` wrote.

    cargo run --release -p recipe --example score_again -- OUT.json
    python3 score_again.py FOLDER OUT.json DATA

FOLDER is a scratch copy of the reference (its modules are imported, nothing of it is in this file),
DATA the folder crates/dyeing/data. From the names and doses alone: absorption bands, fixation,
saturation and liquor ratio from the data files, the cloth from its formula, reflectance, Lab and
CIEDE2000 by the reference. Ends with one line of JSON; fails when anything is 0.1 or more off.
"""
import json
import sys
import tomllib

sys.path.insert(0, sys.argv[1])
import numpy as np
from ref_colour import BANDS31, de2000, refl_to_lab, weights
from ref_model import gauss_bands, ks, ks_inv

REFERENCE_RATIO = 20.0


def table(name):
    with open(f"{sys.argv[3]}/{name}", "rb") as file:
        return tomllib.load(file)


dyes = {row["id"]: row for row in table("starter.toml")["dye"]}
classes = {name: row for row in table("uptake.toml")["class"] for name in row["classes"]}
grounds = {name: row for row in table("grounds.toml")["ground"] for name in row["materials"]}


def cloth(material, look):
    curve = grounds[material][look]
    return curve["top"] - curve["drop"] * np.exp(-(BANDS31 - 400.0) / curve["fade_nm"])


def dyed(question, doses):
    row = classes[question["class"]]
    k, ratio = row["substantivity_l_per_kg"], question["ratio_l_per_kg"]
    at_ratio = (k / (k + ratio)) / (k / (k + REFERENCE_RATIO))
    takers = sum(share for name, share in question["cloth"] if name in row["gain"])
    mix = np.zeros(len(BANDS31))
    for name, dose in doses:
        dye = dyes[name]
        fixed = (dye["fixed_pct"] / 100 * at_ratio * dose
                 / (1 + dose / (dye["saturation_pct"] * takers)))
        mix += fixed * dye["ks_per_pct"] * gauss_bands(BANDS31, dye["bands_nm_cm_height"])
    return sum(share * ks_inv(ks(cloth(name, question["look"]))
                              + row["gain"].get(name, 0.0) / takers * mix)
               for name, share in question["cloth"])


recipes, spectrum, colour, difference = 0, 0.0, 0.0, 0.0
with open(sys.argv[2]) as file:
    questions = json.load(file)["questions"]
for question in questions:
    target = np.array(question["target"])
    for choice in question["choices"]:
        recipes += 1
        seen = dyed(question, choice["doses"])
        spectrum = max(spectrum, np.abs(seen - choice["reflectance"]).max())
        for light in choice["lights"]:
            w = weights(light["light"])
            lab, wanted = refl_to_lab(seen, w), refl_to_lab(target, w)
            colour = max(colour, np.abs(lab - light["lab"]).max())
            colour = max(colour, np.abs(wanted - light["target"]).max())
            difference = max(difference, abs(de2000(lab, wanted) - light["difference"]))
print(json.dumps({"recipes": recipes, "worst_reflectance": float(f"{spectrum:.2g}"),
                  "worst_lab": float(f"{colour:.2g}"),
                  "worst_difference": float(f"{difference:.2g}")}))
sys.exit(int(recipes == 0 or max(colour, difference) >= 0.1))
