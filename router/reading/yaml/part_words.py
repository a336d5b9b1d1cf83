"""Parts by the names of their families: fuses, and the contacts of connectors."""

from __future__ import annotations

from typing import Annotated, TypeAlias

from pydantic import BeforeValidator, WithJsonSchema

from router.reading.yaml.fields import one_of

FUSE_FAMILIES = ("blade", "large blade", "bolt-down M5", "bolt-down M8", "single bolt")
"""As the table of fuses has them; written here too, so that a start need not read the table."""
CONTACT_FAMILIES = ("2.8 mm tab", "4.8 mm tab", "6.3 mm tab", "9.5 mm tab")
"""As the table of terminals has them."""

FuseFamilyWord: TypeAlias = Annotated[
    str,
    BeforeValidator(one_of(FUSE_FAMILIES)),
    WithJsonSchema({"type": "string", "enum": list(FUSE_FAMILIES)}),
]
ContactWord: TypeAlias = Annotated[
    str,
    BeforeValidator(one_of(CONTACT_FAMILIES)),
    WithJsonSchema({"type": "string", "enum": list(CONTACT_FAMILIES)}),
]
