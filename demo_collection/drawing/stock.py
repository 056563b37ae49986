"""What the invented dealer wrote in the stock book: the words, with nothing put right.

Dates are as he typed them. A ``Day`` becomes a spreadsheet date, a ``Serial`` the bare serial
number that a date turns into when its cell loses its format.
"""

from dataclasses import dataclass
from datetime import date

Cell = str | int | float | None


@dataclass(frozen=True)
class Day:
    """A cell that holds a date and is shown as one."""

    when: date


@dataclass(frozen=True)
class Serial:
    """A cell that holds a date and is shown as days since the end of 1899."""

    when: date


COLUMNS = (
    "Stock No",
    "What it is",
    "Origin",
    "When made",
    "Size",
    "Condition",
    "Mark",
    "Opinions",
    "Bought from",
    "Bought",
    "Cost £",
    "Asked £",
    "Sold on",
    "Buyer",
    "Buyer's address",
    "Shelf",
    "Notes (private)",
)

FAIR = "Salzgate fair"
BRUNNICK = ("Dr Casimir Brunnick", "Lindenhof 14, Obersteinau, Germany")
FARRANT = ("Mrs Odile Farrant-Lowe", "The Old Granary, Nether Sallow")
MUSEUM = ("Calder Row Museum", "Calder Row, Ostringham")
NISHIDE = ("Mr T. Nishidera", "2-14 Kamikoji, Hamasato, Japan")
PELHAM = ("Miss Imogen Pellworth", "Flat 3, 60 Tarrow Street, Ostringham")

Row = tuple[object, ...]

# A table reads better in the lines it was typed in.
# fmt: off
ROWS: tuple[Row, ...] = (
    ("HW 0401", "Salt-glazed stoneware jug, brown mottled, loop handle", "Rhineland, Frechen",
     "second half of the 17th century", "H 21.5 cm", "Firing gap at foot, not a crack. Good "
     "otherwise", None, None, FAIR, Day(date(2004, 5, 8)), 310, 680, Day(date(2005, 2, 26)),
     *BRUNNICK, "B2", "He beat me down from 720"),
    ("HW 0402", "Delft charger, blue landscape with a house and trees", "Delft", "circa 1690",
     "D 13 3/4 in.", "Rim chips as usual, glaze flaked at edge", None, None,
     "Kloosterman & Vael, Wijkdam", "spring 2004", 425, 950, Day(date(2006, 11, 3)), *FARRANT,
     "wall", None),
    ("HW 0403", "Tea bowl, tenmoku glaze stopping short of the foot", "Japan, Seto",
     "probably early 17th c.", "D 12.1 cm, H 6.4 cm", "Rim restored with gold lacquer, old", None,
     "Seto rather than Mino, says Nishidera", "Mr T. Nishidera", Day(date(2007, 9, 14)), 900, 2400,
     None, None, None, "A1", "Not to be sold under 2000"),
    ("HW 0404", "Shino tea bowl with iron-painted grasses", "Japan, Mino", "Meiji",
     "D 13 cm", "Perfect. Crawling and pinholes in the glaze are as made", None,
     "in Momoyama style, not Momoyama", "Estate of the late Col. Arbery", 2008, 260, 620,
     Day(date(2009, 3, 21)), *PELHAM, "A1", None),
    ("HW 0405", "Oribe dish, square, green glaze over a corner, iron-brown painting",
     "Japan, Mino", "early 17th century (1600-30)", "21 x 21 cm, H 5", "Chip to one corner, "
     "three spur marks inside as made", None, None, "Mr T. Nishidera", Day(date(2007, 9, 14)),
     1500, 3200, None, None, None, "A2", None),
    ("HW 0406", "Bottle vase, blue and white, flowering plants", "Japan, Arita", "circa 1680",
     "H 10 1/4 in.", "Drilled for a lamp through the base, brass fittings gone", None, None,
     "Ostringham saleroom, lot 212", Day(date(2005, 6, 17)), 140, 480, Serial(date(2006, 4, 1)),
     "Halloran (lamp shop)", None, "C3", "Only bought for the shape"),
    ("HW 0407", "Moon jar, white porcelain, joined at the waist", "Korea, Joseon, Bunwon kilns",
     "late 18th or early 19th century", "H 13 1/2 in. (34.3 cm)",
     "Hairline from rim, about 9 cm. Joint visible at the waist as made", None, None,
     "Mme Aurélie Castagnac, Vauxmarin", Day(date(2010, 10, 2)), 5200, 14500, None, None, None,
     "strong room", "Insured 15,000. Key with Imogen"),
    ("HW 0408", "Bottle, buncheong, white slip brushed on", "Korea", "15th-16th c.",
     "H 24.8 cm", "Foot rubbed, small losses of slip", None, None, FAIR, Day(date(2008, 5, 10)),
     700, 1650, Serial(date(2008, 12, 6)), *MUSEUM, "B1", "Museum paid late"),
    ("HW 0409", "PAIR of bottle vases, blue and white, scrolling flowers", "Japan, Hizen",
     "circa 1700", "H 9 1/2 in. and 9 3/8 in.", "One with a short firing line in the foot; the "
     "other has a chip to the lip", None, "a true pair, same hand",
     "Mme Aurélie Castagnac, Vauxmarin", Day(date(2011, 4, 16)), 1800, 4200,
     Day(date(2012, 7, 28)), *BRUNNICK, "A3", "Do not split them"),
    ("HW 0410", "Set of five cups with covers, blue bands (one cover missing)", "Japan, Arita",
     "second half of the 18th century", "each D 7.5 cm", "Four covers only. One cup nicked",
     None, None, "Estate of the late Col. Arbery", 2008, 180, 450, Day(date(2013, 11, 9)),
     *FARRANT, "C1", None),
    ("HW 0411", "Posset pot, delftware, lid lost long ago", "England, Bristol?",
     "c. 1720", "about 8 in.", None, None, None, FAIR, "2004?", 220, None, "Easter 2006",
     "a Dutchman, cash", None, None, "Never photographed, went the same day"),
    ("HW 0412", "Storage jar, natural ash glaze running from one shoulder", "Japan, Shigaraki",
     "Muromachi, 15th-16th c.", "about 14 in. from memory", "Kiln scars, a stone burst in the "
     "wall; all as made", None, None, "Kloosterman & Vael, Wijkdam", "before 2006", 2600, 6800,
     Day(date(2010, 6, 12)), *NISHIDE, "floor", "Measured never, sold over the telephone"),
    ("HW 0413", "Tea bowl, black, hand-modelled", "Japan, Kyoto", "19th c.",
     "D 11.2 cm, H 8", "Small flake inside rim", "impressed seal, square, not read", None,
     "Mr T. Nishidera", Day(date(2012, 3, 3)), 400, 900, None, None, None, "A1", None),
    ("HW 0414", "Faience jug, blue sprigs, handle", "Northern France",
     "1736-95 (the works), this one late I think", "H 7 7/8 in.", "Glaze crackled, handle sound",
     "painted 14 in blue on the base", None, "Brocante at Vauxmarin",
     Day(date(2011, 4, 17)), 65, 210, Serial(date(2013, 5, 18)), *PELHAM, "C2", None),
    ("HW 0415", "Dish, Kutani type, green and yellow glazes", "Japan, Kaga", "Meiji or a bit later",
     "D 28.5 cm", "No faults", "福 in a square", "good colour but not old Kutani", FAIR,
     Day(date(2012, 5, 12)), 150, 390, None, None, None, "B3", None),
    ("HW 0416", "Dish, blue and white, pine and rocks", "Japan, Arita", "circa 1700-20",
     "D 8 1/2 in.", "Hairline from rim, 3 cm; five spur marks on base as made",
     "apocryphal six-character Chenghua mark in two columns: 大明成化年製",
     "Arita, whatever the mark says",
     "Ostringham saleroom, lot 87", Day(date(2009, 2, 20)), 190, 560, None, None, None, "B3",
     "People always ask about the mark"),
    ("HW 0417", "Celadon bowl, incised lotus petals", "Korea, Goryeo", "12th or early 13th century",
     "D 7 1/8 in. (18.1 cm), H 7.6 cm", "Old chip at lip. Sand on the foot as made", None, None,
     "Private source, Hamasato", Day(date(2013, 1, 19)), 3100, 7400, None, None, None,
     "strong room", "Source does not want to be named"),
    ("HW 0418", "Maebyeong vase, celadon", "Korea", "Goryeo, 12th-13th century",
     "H 31 cm, with stand 36", "Neck reduced? glaze degraded on one side from burial", None, None,
     "Kloosterman & Vael, Wijkdam", "Oct. 2006", 4000, 9500, Day(date(2014, 10, 4)), *MUSEUM,
     "strong room", None),
    ("HW 0419", "Bottle, white porcelain, grasses in blue", "Korea, Joseon",
     "18th century", "H 27.5 cm", "Kiln grit on the foot; no damage", None,
     "I had it as 18th; Dr Tolling says c. 1900", "Estate of the late Col. Arbery", 2008, 1100,
     3400, None, None, None, "A3", "Tolling is usually right, but look at the foot"),
    ("HW 0420", "Sake bottle, unglazed, ash spots on the shoulder", "Japan, Bizen", "Edo, 18th c.?",
     "H 8 3/4 in.", "Perfect", "ト incised on base", None, "Mr T. Nishidera",
     Day(date(2012, 3, 3)), 350, 780, Day(date(2012, 12, 1)), *NISHIDE, "B1", None),
    ("0421", "Bowl, blue and white, waves", "Japan, Hizen", "late 17th century", "D 15.6 cm",
     "Hairline from rim", "渦福 (fuku) in a square, blue", None, FAIR, Day(date(2014, 5, 10)),
     120, 340, None, None, None, "C1", None),
    ("0422", "Drug jar, tin glaze, blue scrolls, no lettering", "London or Delft", "c. 1700 ?",
     "H 6 5/8 in.", "Glaze chips at rim and foot, usual", None, None, FAIR,
     Day(date(2014, 5, 10)), 230, 520, None, None, None, "C2", None),
    (423, "Mug, grey stoneware, cobalt bands", "Westerwald", "circa 1720-40", "14.5 cm high",
     "Rim fritted", None, None, "Kloosterman & Vael, Wijkdam", "2014", 170, 380,
     Serial(date(2015, 3, 7)), "M. Oduya-Brandt", "poste restante, Vauxmarin", "C2", None),
    ("HW 0424", "Bowl, Karatsu, ash glaze, plain", "Japan, Karatsu", "first half of the 17th c.",
     "D 14 cm", "Body crack at foot from the firing, stable", None, None, "Mr T. Nishidera",
     Day(date(2012, 3, 3)), 480, 1100, None, None, None, "A2", "number used twice!!"),
    ("HW 0424", "Plate, delft, small, blue flower", "Delft?", "18th century", "D 9 in.",
     "Rim chips", None, None, "Brocante at Vauxmarin", Day(date(2011, 4, 17)), 30, 110, None,
     None, None, "C3", "see the other 0424"),
    ("HW 0426", "Vase, brown glaze with a pale run", "Japan, Takatori", "early 18th century",
     "H 22 cm", "Neck broken and held with old staples (three)", None, None,
     "Ostringham saleroom, lot 88", Day(date(2009, 2, 20)), 90, 320, None, None, None, "B2", None),
    ("HW 0427", "Large dish, blue and white, landscape", "Japan, Arita", "1690s or so",
     "D about 17 in.", "Cracked across, old staples on the back, six", None, None,
     "Mme Aurélie Castagnac, Vauxmarin", Day(date(2010, 10, 2)), 260, 700, Day(date(2016, 9, 17)),
     *FARRANT, "wall", "Rivets sound. Never hang it on the wire again"),
    ("HW 0428", "Slipware dish, combed brown and cream", "Staffordshire", "circa 1760",
     "L 13 in., W 13", "Chips to the pie-crust edge", None, None, "Ostringham saleroom",
     "Jan 2010", 380, 850, None, None, None, "B3", None),
    ("HW 0429", "Jug, green lead glaze, part glazed", "England, Surrey border", "16th c.",
     "H 5 1/2 in.", "Dug up. Rim chipped, glaze decayed in patches", None, None,
     "Thames finds, via Halloran", "2005", 85, 240, Serial(date(2007, 1, 20)), *PELHAM, "C2", None),
    ("HW 0430", "Lobed dish, white tin glaze", "Italy, Faenza", "first half 17th century",
     "D 25.2 cm", "Rim rubbed, a flat chip under the foot", None, None,
     "Mme Aurélie Castagnac, Vauxmarin", Day(date(2011, 4, 16)), 540, 1300, None, None, None,
     "B3", None),
    ("HW 0431", "Vase, cream crackled glaze", "Japan, Satsuma", "Meiji", "H 12 in.",
     "Crackle stained, as usual", "gold cross in circle, rubbed", None, FAIR,
     Day(date(2008, 5, 10)), 75, 190, Day(date(2009, 12, 12)), "Halloran (lamp shop)", None, "C3",
     "Hope he did not drill it"),
    ("HW 0432", "Bowl, inlaid with white slip in bands of stamped flowers", "Korea",
     "16th century?", "D 16 cm", "Two rim chips filled with lacquer",
     None, "made for Japan, 17th c., according to Dr Brunnick. I still say Korean 16th", FAIR,
     Day(date(2015, 5, 9)), 650, 1500, None, None, None, "A2", None),
    ("HW 0433", "Bottle, yellow glaze, carved plum", "Japan, Seto", "Momoyama or Edo",
     "H 7 in.", "Lip ground down", None, None, "with 0434", None, "with 0434", 420, None, None,
     None, "B1", None),
    ("HW 0434", "Bottle, blue flambé", "Japan, Awaji", "c. 1900", "H 9 in.", "Perfect",
     None, None, "Estate of the late Col. Arbery", 2008, 120, 160, Day(date(2016, 2, 13)),
     *PELHAM, "B1", None),
    ("HW 0435", "Plate, tortoiseshell glaze", "Staffordshire, Whieldon type", "c. 1755-60",
     "D 9 1/4 in.", "Scratched; one star crack on the back", None, None, "Ostringham saleroom",
     "Jan 2010", 160, 360, None, None, None, "wall", None),
    ("HW 0436", "Tea caddy, iron-brown glaze with one long drip", "Japan, Seto",
     "17th or 18th century", "H 6.8 cm (with stand 9)", "Thread-cut base. No damage. Bone lid, "
     "later", None, None, "Mr T. Nishidera", Day(date(2012, 3, 3)), 520, 1250, None, None, None,
     "A1", "Bag and box in the cupboard"),
    ("HW 0437", "Teapot, red stoneware, unglazed", "Staffordshire", "c. 1765",
     "H 4 3/4 in.", "Tip of spout ground", "pseudo-seal, stamped", None, "Ostringham saleroom",
     "Jan 2010", 290, 640, None, None, None, "B2", None),
    ("HW 0438", "Double gourd bottle, celadon", "Japan, Sanda", "early 19th century", "H 23 cm",
     "Perfect", None, None, FAIR, Day(date(2016, 5, 14)), 140, 350, None, None, None, "B1", None),
    ("HW 0439", "Faceted bottle, white porcelain", "Korea, Joseon", "first half of the 19th c.",
     "H 21 cm", "Lip polished", None, None, "Private source, Hamasato", Day(date(2013, 1, 19)),
     1300, 2900, Serial(date(2017, 6, 3)), *BRUNNICK, "A3", None),
    ("HW 0441", "Cider jug, ash glaze over stoneware", "Normandy or Puisaye", "19th century",
     "H 11 in.", "Crack in the handle", None, None, "Brocante at Vauxmarin",
     Day(date(2011, 4, 17)), 20, 95, None, None, None, "floor", None),
    ("HW 0442", "Tea bowl, Hagi, cut foot", "Japan, Hagi", "mid to late Edo", "D 14.2 cm",
     "Old lacquer repair, one place at rim", None, "Tolling: 'could be 18th'",
     "Mr T. Nishidera", Day(date(2017, 10, 21)), 600, 1400, None, None, None, "A1", None),
    ("HW 0443", "Cream jug, cream-coloured earthenware", "Leeds or like", "1770s", "H 3 7/8 in.",
     "Hairline at the handle", None, None, "Ostringham saleroom", "Jan 2010", 40, 130, None, None,
     None, "C2", None),
    ("HW 0444", "Incense burner on three feet, celadon", "Korea?? or Japan", "?", "D 11 cm",
     "One foot restuck", "paper label on the base: 'No. 77'", "Castagnac sold it as Goryeo; it is "
     "not", "Mme Aurélie Castagnac, Vauxmarin", Day(date(2011, 4, 16)), 450, None, None, None, None,
     "??", "Find out before showing anybody"),
)

OLD_COLUMNS = ("No.", "Piece", "Date", "Size", "State", "From", "Paid", "To", "Sold")

OLD_ROWS: tuple[tuple[str, ...], ...] = (
    ("HW 0112", "Albarello, blue & yellow", "c. 1580–1600", "H 20½ cm", "flaked at rim",
     "Castagnac père", "£310", "Calder Row Museum", "3.4.1999"),
    ("HW 0118", "Brown jar with a green run, Tamba", "Edo", "about 9 in. from memory",
     "as made", "Arbery", "£90", "Dr Brunnick", "1999"),
    ("HW 0123", "White vase, blanc de Saint-Vaury type", "18th c.", "h. 17 cm", "chip, café stain",
     "brocante", "F 200", "?", ""),
    ("HW 0130", "Celadon dish, plain, Korean", "13th c.", "D. 15,5 cm", "perfect",
     "Nishidera", "£650", "Mrs Farrant-Lowe", "12.12.2001"),
    ("HW 0137", "Two Delft flower bricks – not a pair", "c. 1750", "5 × 2½ in.",
     "one cracked", "Kloosterman", "£120", "Farrant-Lowe", "June 2002"),
    ("HW 0401", "Stoneware jug (carried to the new book)", "17th c.", "21 cm", "gap at foot",
     "Salzgate", "£310", "", ""),
)
# fmt: on
