"""The outside world: HTTP, the solve pool, the database, settings and the command line.

The wiring is `service.app`, and nowhere else. What is asked and how it is answered is
`service.questions.question`; the answers themselves come from `models` and `solver`.
"""
