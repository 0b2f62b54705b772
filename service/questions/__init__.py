"""One question's handling: what may be asked of the service, and who answers."""
