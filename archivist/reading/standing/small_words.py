"""Small words of six languages by which the stage tells where a value stands.

Words of the trade, and those that deny, doubt or claim, stand in `standing_words.csv`; these are
articles, prepositions and verbs that no table would miss.
"""

from __future__ import annotations

from archivist.reading.standing.roles import OF

THIS = frozenset(("this", "our", "present", "dieser", "diese", "dieses", "unser", "unsere"))
THIS |= frozenset(("cette", "ce", "cet", "notre", "questo", "questa", "este", "esta", "deze"))
DATED = frozenset(("signed and dated", "inscribed and dated", "dated", "datiert", "daté", "datée"))
REIGNED = frozenset(("reign", "reigned", "r", "rule", "ruled", "regierte", "reg", "règne"))
"""The years of a reign in brackets may be those in which a piece was made."""
SINCE = frozenset(("since", "seit", "depuis", "sinds", "desde"))
SOME = frozenset(("a", "an", "one", "another", "two", "three", "ein", "eine", "un", "une"))
WITH = frozenset(
    ("with", "on", "in", "and", "im", "dans", "mit", "auf", "avec", "sur", "met", "op", "con", "su")
)
THE = frozenset(("the", "den", "die", "das", "dem", "le", "la", "de", "het", "il", "el"))
WOULD = frozenset(("would", "ware", "serait", "vaudrait", "zou", "sarebbe", "varrebbe", "seria"))
APART = ("too", "below", "above", "away", "apart")
INVERTED = frozenset(("were", "had", "should", "ware", "hatte", "sollte", "mocht"))
OR = frozenset(("or", "oder", "ou", "o", "of"))
TOLD = frozenset(("sold", "known", "given", "bought", "shown", "taken", "thought", "head", "put"))
JOINS = frozenset(("and", "or", "with", "und", "mit", "et", "avec", "en", "met", "e", "con", "y"))
PARTS_NOUNS = JOINS | OF | frozenset(("a", "an", "the", "after", "for", "on", "at", "by", "to"))
THEIRS = frozenset(("her", "his", "their", "ihr", "ihre", "sein", "seine", "mon", "mi"))
ANY_ARTICLE = frozenset(
    ("a", "an", "the", "ein", "eine", "einem", "einer", "der", "die", "das", "den", "dem")
) | frozenset(("un", "une", "le", "la", "les", "een", "het", "il", "una", "el", "los", "las"))
BESIDE_WORDS = frozenset(
    (
        *("below", "behind", "beside", "opposite", "for", "above", "under", "near", "like", "from"),
        *("against", "after", "unter", "neben", "hinter", "gegen", "nach", "contre", "sous"),
        *("derrière", "pour", "naast", "achter", "tegen", "dietro", "sotto", "per", "detrás"),
    )
)
CALLS = frozenset(("call", "called", "as", "it", "this", "als", "comme", "come", "como", "be"))
WHAT = frozenset(("what", "was", "wat", "ce", "quella", "quello", "lo"))
IS = frozenset(("is", "was", "are", "were", "ist", "war", "sind", "est", "sont", "était", "è"))
ARTICLES = frozenset(("a", "an", "the", "only", "ein", "eine", "un", "une", "just", "really"))
WHEN = frozenset(
    (
        *("in", "during", "by", "after", "before", "since", "until", "from", "when"),
        *("im", "am", "seit", "bis", "nach", "als", "wer", "au", "pendant", "dès", "depuis"),
        *("quand", "nel", "durante", "dal", "tijdens", "sinds"),
    )
)
"""Words that begin a phrase of time in prose. Not 'a', 'en' or 'um', which are articles or 'about'
in one language and prepositions in another."""
