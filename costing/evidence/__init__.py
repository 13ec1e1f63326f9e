"""What stands behind every figure of a label: shares, food records, losses on the way, and how sure each figure is.

losses.py       where every nutrient of every ingredient went, step by step
gather.py       everything behind one label, in one value
sure.py         which texts could be printed, how likely each is, and what a laboratory may find
documents.py    the same for machines
text.py         the same for a terminal (``creamery label --why``)
"""
