"""The record kept beside every printed label, and the question whether it must be printed anew.

keep.py         the record: texts, amounts, recipe, ingredients, food records, rules, as they were
said.py         what a recipe and an ingredient say, key by key, as they are written
kept.py         reads an earlier record, which may come from anywhere, and checks it
compare.py      which printed texts change, and which amounts only moved
causes.py       what differs in recipe, ingredients, food records, rules
reasons.py      which of these moved a line, and by how much
documents.py text.py   the answer for machines and for people
"""
