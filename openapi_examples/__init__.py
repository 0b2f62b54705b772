"""Request and response pairs recorded from the real app, one file each, and the OpenAPI document.

`cases` says what is asked alone and `shop_day` what is asked in order; `asking` asks it, `steady`
takes out what differs from one time to the next, `record` writes or compares, `run` asks a running
service. The service reads the pairs into the document that it serves.
"""
