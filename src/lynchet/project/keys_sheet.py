"""Keys of the title block that every sheet carries."""

from __future__ import annotations

from lynchet.project.keys import Key, table, word

PAPERS = ("A3", "A4", "Tabloid", "Letter")
STATUS = ("draft", "for pricing", "for permit", "for build", "as built")
SHEET = table(
    "the paper of the sheets, and what the title block of every sheet says",
    {
        "number": Key("text", "your number for the job"),
        "place": Key("text", "where the yard lies: street and town"),
        "drawn": Key("text", "who drew it"),
        "checked": Key("text", 'who checked it; left out, every sheet says "not yet"'),
        "date": Key("date", "day of this issue, YYYY-MM-DD; nothing is taken from the clock"),
        "issue": Key("text", "issue letter or number, 6 characters at most", default="A", origin="not said"),
        "status": word("what the sheets may be used for; left out, none is claimed", *STATUS),
        "paper": word("paper of plans, sections and walls, lying; what is carried about is A4 or Letter", *PAPERS),
    },
)
