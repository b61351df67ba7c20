"""What a document carries inside beside the text of its description, as one line of JSON."""

import json
import re
from dataclasses import asdict, dataclass, fields, replace

from docgen.nodes import Source

DESCRIPTION = "urn:docgen:description"
"""The namespace of what a Word file carries."""
_DIGEST = re.compile("[0-9a-f]{64}")
_NAME = re.compile(r"[^/\\\x00-\x1f\x7f-\x9f\u200e\u200f\u2028-\u202e\u2066-\u2069]{1,255}")


@dataclass(frozen=True, slots=True)
class Carried:
    """What a document says of itself: what it was made from, and the digest of the text that was written."""

    source: Source
    text_digest: str


def about(source: Source, text_digest: str) -> str:
    """All but the text of the description."""
    return json.dumps(asdict(replace(source, text="")) | {"text_digest": text_digest}, ensure_ascii=True, sort_keys=True)


def read_about(said: str, text: str) -> Carried:
    """The other way round; raises ValueError for what no docgen has written.

    A newer docgen may have said more and an older one less: what is not known is left aside, what is missing is empty.
    """
    values = json.loads(said)
    if not isinstance(values, dict):
        raise ValueError("no values by name")
    known = {field.name: values[field.name] for field in fields(Source) if field.name in values}
    present = known.pop("present", None)
    named = () if present is None else tuple(present) if isinstance(present, list) else (None,)
    texts = all(isinstance(one, str) for one in (*named, *known.values()))
    digests = all(_DIGEST.fullmatch(str(values.get(name))) for name in ("digest", "text_digest"))
    if not texts or not digests or not _NAME.fullmatch(str(known.get("name", ""))):
        raise ValueError("not what docgen writes")
    return Carried(Source(**known | {"text": text, "present": None if present is None else named}), values["text_digest"])
