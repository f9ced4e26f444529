"""`python -m packyoke.docgen`, in a checkout: a wheel does not have it."""

from __future__ import annotations

from packyoke.docgen import main

main()
