"""Request and response pairs recorded from the real app, one file each, and the OpenAPI document.

`cases` says what is asked, `record` asks it and writes or compares, `run` asks a running service.
"""
