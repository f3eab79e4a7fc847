//! Words that layer names are made of.
//!
//! Knows: the words for wall, door and window in the languages drawings come in, and the words that
//! say a layer is about something else. Never touches: drawings. All words are upper case and match
//! whole words of a name only, but for the Chinese, Japanese and Korean ones, which are written
//! without spaces.
//!
//! Sources: US National CAD Standard groups as in FACTS 8.1; the words of other languages are plain
//! dictionary words (common practice, no source).

/// Wall.
pub(crate) const WALL: &[&str] = &[
    "WALL",
    "WALLS",
    "MUR",
    "MURS",
    "MURO",
    "MUROS",
    "MURI",
    "MURATURA",
    "MURATURE",
    "PARED",
    "PAREDES",
    "PAREDE",
    "PARETE",
    "PARETI",
    "TABIQUE",
    "TABIQUES",
    "CLOISON",
    "CLOISONS",
    "WAND",
    "WANDE",
    "WÄNDE",
    "WAENDE",
    "MUUR",
    "MUREN",
    "WANDEN",
    "STENA",
    "STENY",
    "STĚNA",
    "STĚNY",
    "ŚCIANA",
    "ŚCIANY",
    "SCIANA",
    "SCIANY",
    "VÄGG",
    "VÄGGAR",
    "VAGG",
    "VÆG",
    "VEGG",
    "VEGGER",
    "SEINÄ",
    "SEINÄT",
    "SEINA",
    "DUVAR",
    "DUVARLAR",
    "ZID",
    "ZIDOVI",
    "FAL",
    "FALAK",
    "PEREȚI",
    "PERETI",
    "СТЕНА",
    "СТЕНЫ",
    "СТІНА",
    "СТІНИ",
    "ΤΟΙΧΟΣ",
    "ΤΟΙΧΟΙ",
];
/// Wall, in scripts without spaces.
pub(crate) const WALL_UNSPACED: &[&str] = &["墙", "牆", "壁", "벽"];

/// Door.
pub(crate) const DOOR: &[&str] = &[
    "DOOR",
    "DOORS",
    "DOR",
    "PORTE",
    "PORTES",
    "PORTA",
    "PORTAS",
    "PUERTA",
    "PUERTAS",
    "TÜR",
    "TÜREN",
    "TUR",
    "TUEREN",
    "DEUR",
    "DEUREN",
    "DVEŘE",
    "DVERE",
    "DRZWI",
    "DÖRR",
    "DØR",
    "OVI",
    "OVET",
    "KAPI",
    "VRATA",
    "AJTÓ",
    "UȘĂ",
    "ДВЕРЬ",
    "ДВЕРИ",
    "ΠΟΡΤΑ",
];
/// Door, in scripts without spaces.
pub(crate) const DOOR_UNSPACED: &[&str] = &["门", "門", "ドア", "문"];

/// Window.
pub(crate) const WINDOW: &[&str] = &[
    "WINDOW",
    "WINDOWS",
    "WIND",
    "WNDW",
    "GLAZ",
    "GLAZING",
    "FENETRE",
    "FENETRES",
    "FENÊTRE",
    "FENÊTRES",
    "FINESTRA",
    "FINESTRE",
    "VENTANA",
    "VENTANAS",
    "JANELA",
    "JANELAS",
    "FENSTER",
    "RAAM",
    "RAMEN",
    "KOZIJN",
    "KOZIJNEN",
    "OKNO",
    "OKNA",
    "FÖNSTER",
    "VINDU",
    "VINDUE",
    "IKKUNA",
    "PENCERE",
    "PROZOR",
    "ABLAK",
    "FEREASTRĂ",
    "ОКНО",
    "ОКНА",
    "ΠΑΡΑΘΥΡΟ",
];
/// Window, in scripts without spaces.
pub(crate) const WINDOW_UNSPACED: &[&str] = &["窗", "窓", "창"];

/// Beside a wall, door or window word: the layer holds remarks, hatches, details, or parts of no
/// framed wall. PATT, HEAD, JAMB, CAVI, CNTR: FACTS 8.1.
pub(crate) const NOT_FRAMING: &[(&str, &str)] = &[
    ("PATT", "hatching"),
    ("PATTERN", "hatching"),
    ("HATCH", "hatching"),
    ("HTCH", "hatching"),
    ("POCHE", "hatching"),
    ("FILL", "hatching"),
    ("SOLID", "hatching"),
    ("HEAD", "headers of the ceiling plan"),
    ("JAMB", "jambs"),
    ("SILL", "sills"),
    ("CAVI", "cavity lines"),
    ("CNTR", "centre lines"),
    ("CENTER", "centre lines"),
    ("CENTRE", "centre lines"),
    ("ANNO", "annotation"),
    ("ANNOTATION", "annotation"),
    ("DIM", "annotation"),
    ("DIMS", "annotation"),
    ("TEXT", "annotation"),
    ("TXT", "annotation"),
    ("IDEN", "annotation"),
    ("TAG", "annotation"),
    ("TAGS", "annotation"),
    ("NUMB", "annotation"),
    ("NOTE", "annotation"),
    ("NOTES", "annotation"),
    ("LABEL", "annotation"),
    ("LABELS", "annotation"),
    ("SYMB", "annotation"),
    ("NPLT", "construction lines"),
    ("ELEV", "elevations"),
    ("ELEVATION", "elevations"),
    ("SECT", "sections"),
    ("MOVE", "movable partitions"),
    ("MOVABLE", "movable partitions"),
    ("FOUNDATION", "foundations"),
    ("FNDN", "foundations"),
    ("FDN", "foundations"),
    ("FOOTING", "foundations"),
    ("FTG", "foundations"),
    ("STEM", "foundations"),
    ("RETAINING", "retaining walls"),
    ("CURTAIN", "curtain walls"),
    ("CURT", "curtain walls"),
    ("PAPER", "finishes"),
    ("TILE", "finishes"),
    ("CABINET", "fittings"),
    ("CABINETS", "fittings"),
    ("OVEN", "fittings"),
    ("LIGHT", "fittings"),
    ("LIGHTS", "fittings"),
    ("SCONCE", "fittings"),
    ("OUTLET", "fittings"),
    ("MOUNTED", "fittings"),
    ("HUNG", "fittings"),
];

/// Status words that take a layer out of the work: nothing is framed there.
pub(crate) const NOT_NEW: &[(&str, &str)] = &[
    ("DEMO", "to be demolished"),
    ("DEMOLITION", "to be demolished"),
    ("DEMOLISH", "to be demolished"),
    ("EX", "existing"),
    ("EXST", "existing"),
    ("EXIST", "existing"),
    ("EXISTING", "existing"),
    ("FUTR", "future work"),
    ("FUTURE", "future work"),
    ("NIC", "not in contract"),
];

/// Last group of one letter in a National CAD Standard name (FACTS 8.1). N and digits (phases) are
/// work to be done.
pub(crate) const STATUS_LETTER: &[(&str, &str)] = &[
    ("D", "to be demolished"),
    ("E", "existing to remain"),
    ("F", "future work"),
    ("M", "to be moved"),
    ("T", "temporary work"),
    ("X", "not in contract"),
];

/// Exterior.
pub(crate) const EXTERIOR: &[&str] = &["EXTR", "EXT", "EXTERIOR", "EXTERNAL"];
/// Interior.
pub(crate) const INTERIOR: &[&str] = &["INTR", "INT", "INTERIOR", "INTERNAL"];
/// Bearing.
pub(crate) const BEARING: &[&str] = &["BRNG", "BEARING"];
/// Partial height.
pub(crate) const PARTIAL_HEIGHT: &[&str] = &["PRHT", "PONY", "HALF"];

/// Layers of other things, never proposed as walls (National CAD Standard groups and plain words, from
/// memory).
pub(crate) const OTHER_THINGS: &[&str] = &[
    "FURN",
    "FURNITURE",
    "GRID",
    "GRIDLINES",
    "AXIS",
    "STAIR",
    "STAIRS",
    "STRS",
    "ROOF",
    "FLOR",
    "FLOOR",
    "TITLE",
    "BORDER",
    "TTLB",
    "VIEWPORT",
    "FIXT",
    "FIXTURE",
    "FIXTURES",
    "EQPM",
    "EQUIPMENT",
    "CASE",
    "CLNG",
    "CEILING",
    "PLANTS",
    "SITE",
    "TOPO",
    "DETAIL",
    "DETAILS",
    "DEFPOINTS",
    "HIDDEN",
];
