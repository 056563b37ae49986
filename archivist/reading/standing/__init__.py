"""What words do with the values they name: of what, in which role, whether so, how sure, by whom.

The readers of kinds find candidates, a span and a value each; `understood` decides for every one of
them by its clause and its sentence what may be filed of the piece, what is only mentioned and what
must be asked. The ground for such a stage is published: NegEx (Chapman and others, Journal of
Biomedical Informatics 34, 2001) and ConText (Harkema and others, same journal 42, 2009) decide
negation, experiencer and time of a clinical finding from trigger words, their direction, their
reach and what ends it; FactBank (Sauri and Pustejovsky, Language Resources and Evaluation 43,
2009) gives factuality as polarity by certainty relative to a source. All three from memory. The
words themselves are this trade's and stand in `standing_words.csv`.
"""

from __future__ import annotations

from archivist.reading.standing.law import Position
from archivist.reading.standing.understanding import understood

__all__ = ["Position", "understood"]
