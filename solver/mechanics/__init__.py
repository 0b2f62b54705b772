"""The oven: what a form asks of a sheet as it bakes, what a dough bears. Knows no program."""
