"""What the recogniser knows of English as such: small words, numbers, turns of speech.

Rules
-----
- Nothing here belongs to any trade; words of the trade come from the pack's lexicon.
- Words that carry direction or degree ('up', 'out', 'more', 'too') are no small words: they decide
  what a saying means.
"""

from __future__ import annotations

__all__ = [
    "AFTER_NOUNS",
    "APART",
    "ARTICLES",
    "BEFORE_NOUNS",
    "CONJUNCTIONS",
    "DULL",
    "HEDGES",
    "IDIOMS",
    "LEADS_TO_SUBJECT",
    "MODALS",
    "NEGATORS",
    "NUMBERS",
    "OBJECTS",
    "ORDINARY",
    "PAST",
    "SMALL",
    "SUBJECTS",
]


def _words(text: str) -> frozenset[str]:
    return frozenset(text.split())


# Said in nearly every sentence; they tell no complaint from another.
SMALL = _words(
    """
    a an the this that these those it its it's i i'm i've me my mine myself you your we us our he
    him his she her they them their is are was were be been being am do does did done doing have
    has had having will would shall should may must of to for at by with as and or so if then
    than there here what which who whom whose how why because about into onto from when while
    after before since also too any some such am im ive id ll ve re theres thats
    absolutely heres hes shes theyre youre weve youve theyve got get gets getting gotten
    """
) - _words("after since before when too from too some")

# May stand inside a term without making it another.
ARTICLES = _words("a an the my its it this that absolutely")

# Helping verbs that are also nouns, and what tells the noun.
MODALS = frozenset(["can"])
BEFORE_NOUNS = ARTICLES | _words("in on of from inside into around and with bigger")
AFTER_NOUNS = _words(
    "is isn't was wasn't has hasn't had looks seems feels got gets mouth body service"
)

# Said of anything: they help a reading but hardly carry one.
DULL = _words(
    """
    say says said saying now even one thing things something anything everything think thought know
    go goes went going gone make makes made let lets put take takes took give gives look looks
    looked see seen need needs want wants time times way people someone somebody bike day today
    yesterday year years ago again always never ever still only yet more any too again mean other
    another same new old good great nice bad wrong start starts started began back use uses used
    last first next after since before when some from max
    """
)

# Who does it: a new clause begins here too, unless one of the others stands right before.
SUBJECTS = _words("i we he she they there theres something somebody someone")
LEADS_TO_SUBJECT = _words(
    "that which what who as than where wherever when whenever whatever if how because since after "
    "before until while and but or so like not"
)

# A new clause begins in front of these.
CONJUNCTIONS = _words(
    "and then also plus because cos cause since when whenever if after before as so where which "
    "while once or nor"
)

# The sentence says less than that it is so: asked, supposed, or somebody else's word.
HEDGES = _words(
    "if maybe perhaps might could possibly probably apparently supposedly wonder wondering guess "
    "suspect reckon reckons says said thinks would"
)

NEGATORS = _words("nope nah naw")

# Negators that may stand at the end of what they deny ('it does nothing').
OBJECTS = _words("nothing none nowt")

# A second one of these in a row undoes the first ('not without').
APART = frozenset(["without"])

# Turns of speech in which a negator denies only so many of the words that follow.
IDIOMS = {
    tuple(turn.split()): reach
    for reach, turns in {
        0: (
            "no matter",
            "doesn't matter",
            "doesnt matter",
            "no doubt",
            "no wonder",
            "no problem",
            "no problems",
            "no trouble",
            "no issue",
            "no issues",
            "no worries",
            "not only",
            "not just",
            "not to",
            "nothing but",
            "why not",
            "if not",
            "or not",
            "can't help",
        ),
        1: ("not sure", "don't know", "dont know", "no idea", "can't say", "can't tell"),
    }.items()
    for turn in turns
}

# What was and is no more: it denies as a negator does, with less weight.
PAST = frozenset(
    [
        ("used", "to"),
        ("stopped",),
        ("stops",),
        ("quit",),
    ]
)

NUMBERS = {
    word: float(value)
    for value, names in {
        0: "zero nil",
        1: "one",
        2: "two couple twice",
        3: "three",
        4: "four",
        5: "five",
        6: "six",
        7: "seven",
        8: "eight",
        9: "nine",
        10: "ten",
        11: "eleven",
        12: "twelve dozen",
        15: "fifteen",
        20: "twenty",
        25: "twentyfive",
        30: "thirty",
        40: "forty",
        50: "fifty",
        60: "sixty",
        70: "seventy",
        80: "eighty",
        90: "ninety",
        100: "hundred",
    }.items()
    for word in names.split()
}

# Everyday words that lie one slip away from words that any trade may use; never corrected.
ORDINARY = _words(
    """
    able above again against age ago all almost along already although always among another
    anyway anybody anything anywhere area around ask asked away baby bad badly bank base bath bear
    beat became become bed began begin behind believe below best better between beyond bit black
    blue board boat body book born both bought box boy brake bread break bring brother brought
    brown build built bus busy buy call called came can car card care carry case catch cause chance
    change check child choose city clean clear climb close cloth cloud coat coil cook cool corner
    cost could count course cover cross cry cut dad dark date day deal dear decide deep did
    die different dinner dog door doubt draw dream dress drink drive drop dry each ear early east
    easy eat egg eight either else end enough even evening ever every exact example expect
    eye face fact fair fall family far farm fast fat father fear feed feel feet fell felt few field
    fight find fine finger finish fire first fish fit five fix floor fly follow food foot force
    forest forget form found four free fresh friend front fun game garden gave girl give glad
    glass go goes going gold gone good grass great green grew ground group grow guess guy hair half
    hall hand hang happen happy has hat hate head health hear heard heart heavy held hello help
    here high hill hit hole holiday home hope horse hospital hour house hung hurry hurt ice
    idea ill inch inside job join jump keep kept key kid kill kind kitchen knee knew know lady lake
    land large late laugh law lay lead learn least leave led left leg lend less let letter level
    lie life lift light line list listen live long look lose loud love luck lunch made mail main
    make many map mark market matter meal mean meat meet mention met middle mile milk mind minute
    miss money month moon more morning most mother mountain mouth move much music name near neck
    need never new news next nice night nine noon north nose note now number ocean often old once
    one open orange order other out over own page paid pain paint pair paper parent park part party
    pass past pay people person phone pick picture piece pink place plan plane plant plate play
    please point poor post pot pretty price print proper pull push put queen question quick quiet
    quite race rain raise ran reach read ready real reason red remember rest rich ride right river
    road roof room round rule run sad safe said sail salt same sand sat save saw say school sea
    season seat second see seem seen sell send sent set seven shape she ship shirt shoe shoes shop
    short shot shout show shut sick side sign silver sing sister sit six size skin sky sleep small
    smell smile snow soap sock soft soil sold son song soon sort south speak spell spend spoke
    spoon spot spring stage stand star start state station stay step still stone stood stop store
    story strange street strong study such sugar summer sun sure swim table take talk tall taste
    tea teach team tell ten test thank thin thing think third those though thought three threw
    throw tie till time tired today toe together told tomorrow tonight took tooth top touch toward
    town train travel tree trip true trust try turn twice uncle under until upon use useful usual
    very view visit voice wait walk wall want war warm was wash watch water wave way wear weather
    week weight well went were west wet wheel where white whole wide wife wild will win wind window
    wine winter wish with woman wood word wore work world worry worse worst worth write wrong wrote
    year yellow yes yesterday young
    """
)
