"""Text, web pages and strict JSON on their way in."""
