"""The foods of the USDA National Nutrient Database for Standard Reference, release 28 (public
domain), as far as a baker asks for them: `usda_sr28.csv.gz`, compiled by `compile.py`.
"""
