"""What fields are called whose names in a file say too little to who has never seen one, and what each is
written like."""

from collections.abc import Mapping

CALLED: Mapping[str, str] = {
    "at": "Place on the plan",
    "between": "Between which rooms",
    "by_hand": "How it opens by hand",
    "call": "Whom to call for it",
    "carry": "Way to it",
    "drawings": "Line drawings",
    "escape": "A way out in a fire",
    "formerly": "Ids that it had before",
    "front_faces": "The front faces, in degrees from north",
    "looked_after_by": "Who looks after it",
    "needs_mains": "Works from the mains",
    "on_the_way_in": "On the way in",
    "open_to": "Open to which room",
    "outline": "Corners on the plan",
    "photo": "Photograph",
    "ring": "Ring on the photograph",
    "served_by": "Who services and mends it",
    "serves": "What it feeds or controls",
    "sticker": "Size of its sticker",
    "to_the_lorry": "Way to the lorry",
    "warrant": "Building warrant applied for",
}
"""By the name of the field."""

HELP: Mapping[str, str] = {
    "at": "Metres as drawn: across, then back, as in 3.3, 0.2.",
    "formerly": "With a comma between them.",
    "front_faces": "0 is north, 90 east.",
    "place": "In words: in the cupboard under the sink, on the {left}.",
    "ring": "Shares of the picture, from the left and from the top. Easier: touch it under Photographs.",
}
"""What stands below a field, by its name."""
