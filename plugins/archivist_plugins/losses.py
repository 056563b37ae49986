"""What several formats have no place for, said in the same words by each of them."""

SALES = "prices, buyers and other facts of the sale"

BEHIND_THE_WORDS = (
    "which sheet and row words came from, how they were read, and the digests of documents that "
    "bear them out"
)

OVERRIDES = "what the owner lets one audience see of this piece otherwise than the table says"

WORDS_BESIDE_A_VALUE = (
    "the words in which a size, a part or a title was written, where its value is told"
)

VOCABULARIES = "codes of terms, and the names of the vocabularies that they are from"

OF_PARTIES = "of persons and firms more than how they are called and where they live"

OF_PHOTOGRAPHS = (
    "of photographs the captions as they came, what one was made from, and on what ground a view "
    "or a day is told"
)
