"""Exchange: a shop's recipes in and out, as files of other programs and of our own.

An `entry` is one recipe on its way. Read and written by: `json_ld` (with `schema_org`, `web_page`,
`json_elements`), `csv_catalogue` (with `csv_rows`, `csv_cells`), `ndjson_catalogue`; chosen by
`formats`. `importing` brings a stream onto a shelf; `reformulated` and `change_report` take results
out.
"""
