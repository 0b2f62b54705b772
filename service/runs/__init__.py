"""Runs: one brief over a whole catalogue, worked through by processes here or on other machines.

`chunks` solves; `processes` does so on every core; `local` hands chunks out on one machine and
`postgres` among several. What is kept is `service.store.runs` and `service.store.run_items`.
"""
