"""The calculator page: a form for someone with a bowl in one hand, complete without scripts.

`fields` is what was typed; `typed_request` makes a brief of it, `faults` says beside which field
something is wrong. `page` gathers what is shown (with `understood`, `answer`, `what_if`, `card`,
`bars`, `easing`), `rendering` writes it as HTML. The routes are `service.routes.home` and
`service.routes.page`. Nothing is stored: what was typed comes back with every answer.
"""
