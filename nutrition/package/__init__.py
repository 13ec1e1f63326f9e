"""The whole label of a container, laid out to real size for a printer: main panel, information panel, bar code.

    label.draw(content, space)     the sheets of a label: a wrap or flat label, and a lid
    files.pdf(whole)               all its sheets in one PDF, with trim and bleed boxes
    files.svgs(whole)              one SVG for each

Plain and legible, with nothing of a brand: the printer's artist does the rest.
"""
