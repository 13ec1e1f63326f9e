"""Order and wording of the lines against the sample panels that FDA published with the rule of 2016.

"Examples of different label formats", FDA, for 21 CFR 101.9(d)(12) and (e)(6)(i): figures and lines from memory, layout
facts only. Two things are worded otherwise here, and said where they are: the footnote's asterisk stands apart, and two
columns are headed with the full "% Daily Value*".
"""

from __future__ import annotations

import io
from dataclasses import replace

import pdfplumber
from panel_labels import BOTH, label, line
from panel_reading import lines

from nutrition.panel import layout, pdf

# key, name, unit, serving, %, container, %
STANDARD = (
    ("energy", "Calories", "kcal", "230", None, "230", None),
    ("total_fat", "Total Fat", "g", "8g", 10, "8g", 10),
    ("saturated_fat", "Saturated Fat", "g", "1g", 5, "1g", 5),
    ("trans_fat", "Trans Fat", "g", "0g", None, "0g", None),
    ("cholesterol", "Cholesterol", "mg", "0mg", 0, "0mg", 0),
    ("sodium", "Sodium", "mg", "160mg", 7, "160mg", 7),
    ("total_carbohydrate", "Total Carbohydrate", "g", "37g", 13, "37g", 13),
    ("dietary_fiber", "Dietary Fiber", "g", "4g", 14, "4g", 14),
    ("total_sugars", "Total Sugars", "g", "12g", None, "12g", None),
    ("added_sugars", "Includes", "g", "10g", 20, "10g", 20),
    ("protein", "Protein", "g", "3g", None, "3g", None),
    ("vitamin_d", "Vitamin D", "mcg", "2mcg", 10, "2mcg", 10),
    ("calcium", "Calcium", "mg", "260mg", 20, "260mg", 20),
    ("iron", "Iron", "mg", "8mg", 45, "8mg", 45),
    ("potassium", "Potassium", "mg", "235mg", 6, "235mg", 6),
)
DUAL = (
    ("energy", "Calories", "kcal", "220", None, "440", None),
    ("total_fat", "Total Fat", "g", "5g", 6, "10g", 13),
    ("saturated_fat", "Saturated Fat", "g", "2g", 10, "4g", 20),
    ("trans_fat", "Trans Fat", "g", "0g", None, "0g", None),
    ("cholesterol", "Cholesterol", "mg", "15mg", 5, "30mg", 10),
    ("sodium", "Sodium", "mg", "240mg", 10, "480mg", 21),
    ("total_carbohydrate", "Total Carbohydrate", "g", "35g", 13, "70g", 25),
    ("dietary_fiber", "Dietary Fiber", "g", "6g", 21, "12g", 43),
    ("total_sugars", "Total Sugars", "g", "7g", None, "14g", None),
    ("added_sugars", "Includes", "g", "4g", 8, "8g", 16),
    ("protein", "Protein", "g", "9g", None, "18g", None),
    ("vitamin_d", "Vitamin D", "mcg", "5mcg", 25, "10mcg", 50),
    ("calcium", "Calcium", "mg", "200mg", 15, "400mg", 30),
    ("iron", "Iron", "mg", "1mg", 6, "2mg", 10),
    ("potassium", "Potassium", "mg", "470mg", 10, "940mg", 20),
)


def test_the_standard_sample() -> None:
    made = label(("serving",), lines=tuple(line(row, ("serving",)) for row in STANDARD), servings="8")
    made = replace(made, serving=replace(made.serving, grams_text="55g"))
    said = lines(pdfplumber.open(io.BytesIO(pdf.data(layout.panel(made)))).pages[0])
    assert said[:20] == [
        "Nutrition Facts",
        "8 servings per container",
        "Serving size 2/3 cup (55g)",
        "Amount per serving",
        "Calories 230",
        "% Daily Value*",
        "Total Fat 8g 10%",
        "Saturated Fat 1g 5%",
        "Trans Fat 0g",
        "Cholesterol 0mg 0%",
        "Sodium 160mg 7%",
        "Total Carbohydrate 37g 13%",
        "Dietary Fiber 4g 14%",
        "Total Sugars 12g",
        "Includes 10g Added Sugars 20%",
        "Protein 3g",
        "Vitamin D 2mcg 10%",
        "Calcium 260mg 20%",
        "Iron 8mg 45%",
        "Potassium 235mg 6%",
    ]
    assert " ".join(said[20:]) == (
        "* The % Daily Value (DV) tells you how much a nutrient in a serving of food contributes to a daily diet. "
        "2,000 calories a day is used for general nutrition advice."
    )


def test_the_sample_for_a_serving_and_the_container() -> None:
    made = label(BOTH, lines=tuple(line(row, BOTH) for row in DUAL), servings="2", measure="1 cup")
    made = replace(made, serving=replace(made.serving, grams_text="255g"))
    # In its narrow look the panel has the short names that the sample has too.
    said = lines(pdfplumber.open(io.BytesIO(pdf.data(layout.panel(made, 2.8)))).pages[0])
    assert said[:20] == [
        "Nutrition Facts",
        "2 servings per container",
        "Serving size 1 cup (255g)",
        "Per serving Per container",
        "Calories 220 440",
        "% Daily Value* % Daily Value*",
        "Total Fat 5g 6% 10g 13%",
        "Saturated Fat 2g 10% 4g 20%",
        "Trans Fat 0g 0g",
        "Cholesterol 15mg 5% 30mg 10%",
        "Sodium 240mg 10% 480mg 21%",
        "Total Carb. 35g 13% 70g 25%",
        "Dietary Fiber 6g 21% 12g 43%",
        "Total Sugars 7g 14g",
        "Incl. Added Sugars 4g 8% 8g 16%",
        "Protein 9g 18g",
        "Vitamin D 5mcg 25% 10mcg 50%",
        "Calcium 200mg 15% 400mg 30%",
        "Iron 1mg 6% 2mg 10%",
        "Potassium 470mg 10% 940mg 20%",
    ]
