"""Drawings: templates to print, forms in section, ladders as charts; SVG built by element.

Each is a function from plain values to the text of one SVG document that needs nothing else: no
script, no font, no picture from elsewhere. They carry their numbers as text and read without
colour.
"""
