//! Words that layer names are made of.
//!
//! Knows: the words for wall, door and window in the languages drawings come in, and what a name says of the
//! walls. Never touches: drawings, the words that say a layer is about something else (`otherwords`). All words
//! are upper case and match whole words of a name only, compounds as listed, but for the Chinese, Japanese and Korean ones, which are written
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
    "PARTITION",
    "PARTITIONS",
    "MAUER",
    "MAUERN",
    "MAUERWERK",
    "REFEND",
    "REFENDS",
    "TABIQUERIA",
    "TABIQUERÍA",
    "TRAMEZZO",
    "TRAMEZZI",
    "TRAMEZZA",
    "TRAMEZZE",
    "ALVENARIA",
    "DIVISORIA",
    "DIVISORIAS",
    "DIVISÓRIA",
    "DIVISÓRIAS",
    "ZEĎ",
    "ZDI",
    "ZDIVO",
    "PŘÍČKA",
    "PŘÍČKY",
    "PRICKA",
    "PRICKY",
    "ŚCIANKA",
    "ŚCIANKI",
    "SCIANKI",
    "VÆGGE",
    "SEINAD",
    "VAHESEINAD",
    "VÁLASZFAL",
    "VÁLASZFALAK",
    "ПЕРЕГОРОДКА",
    "ПЕРЕГОРОДКИ",
];
/// What stands before a wall word in one word with it, and still says wall: `AUSSENWAND`, `EXTWALLS`. A list,
/// since as many others do not: `LEINWAND` is a canvas, `DUSCHWAND` a shower screen. Umlauts in both spellings.
pub(crate) const BEFORE_WALL: &[(&[&str], &[&str])] = &[
    (
        &[
            "AUSSEN",
            "INNEN",
            "TRENN",
            "WOHNUNGSTRENN",
            "HAUSTRENN",
            "ZWISCHEN",
            "TRAG",
            "BRAND",
            "GIEBEL",
            "MASSIV",
            "BETON",
            "STAHLBETON",
            "ZIEGEL",
            "HOLZ",
            "HOLZSTÄNDER",
            "HOLZSTAENDER",
            "STÄNDER",
            "STAENDER",
            "LEICHTBAU",
            "LEICHT",
            "TROCKENBAU",
            "GIPSKARTON",
            "GK",
            "FLUR",
            "KELLER",
            "BINNEN",
            "BUITEN",
            "TUSSEN",
            "SCHEIDINGS",
            "SPOUW",
            "GEVEL",
        ],
        &["WAND", "WÄNDE", "WAENDE", "WANDE", "WANDEN", "MAUER", "MAUERN", "MUUR", "MUREN"],
    ),
    (
        &[
            "EXT",
            "EXTERIOR",
            "EXTERNAL",
            "INT",
            "INTERIOR",
            "INTERNAL",
            "OUTER",
            "INNER",
            "OUTSIDE",
            "INSIDE",
            "MAIN",
            "NEW",
            "STUD",
            "PARTITION",
            "PARTY",
            "SHEAR",
            "BEARING",
            "FIRE",
            "BRICK",
        ],
        &["WALL", "WALLS"],
    ),
    (
        &["YTTER", "INNER", "MELLAN", "YDER", "INDER", "SKILLE"],
        &["VÄGG", "VÄGGAR", "VAGG", "VAGGAR", "VEGG", "VEGGER", "VÆG", "VÆGGE"],
    ),
    (&["ULKO", "VÄLI", "SISÄ", "VALI", "SISA"], &["SEINÄ", "SEINÄT", "SEINA", "SEINAT"]),
    (&["VÄLIS", "SISE", "VAHE"], &["SEIN", "SEINAD"]),
];
/// What stands after a wall word in one word with it, and still says wall: `WALLEXT`.
pub(crate) const AFTER_WALL: &[(&[&str], &[&str])] =
    &[(&["WALL", "WALLS"], &["EXT", "EXTERIOR", "INT", "INTERIOR", "NEW", "LINE", "LINES"])];
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

/// A word without the number at its end: `DOOR36`.
pub(crate) fn unnumbered(word: &str) -> &str {
    word.trim_end_matches(|c: char| c.is_ascii_digit())
}

/// A garage's door in one word.
const GARAGE_DOOR: &[&str] = &["GARAGEDOOR", "GARAGEDOORS", "GARAGEDR", "GARDOOR", "OHDOOR"];
/// Beside these the short words for a door mean one: by itself DR is a drawing or a dining room.
const OF_GARAGE: &[&str] = &["GARAGE", "GAR", "OVERHEAD", "OVHD", "OH"];
/// Door, beside [`OF_GARAGE`].
const SHORT_DOOR: &[&str] = &["DR", "DRS"];

/// The words of a name that say garage door, if some do: `GARAGE DR`, `OH-DR` (common practice, no source).
pub(crate) fn garage_door(words: &[String]) -> Option<String> {
    let find = |list: &[&str]| words.iter().map(|w| unnumbered(w)).find(|w| list.contains(w));
    let two = || find(OF_GARAGE).zip(find(SHORT_DOOR)).map(|(of, door)| format!("{of} {door}"));
    find(GARAGE_DOOR).map(str::to_owned).or_else(two)
}

/// Whether a word gives the size of a garage's door: `16X7`, `1680`.
fn is_door_size(word: &str) -> bool {
    let digits = |w: &str| !w.is_empty() && w.bytes().all(|b| b.is_ascii_digit());
    let two = word.split_once('X').is_some_and(|(wide, high)| digits(wide) && digits(high));
    two || (digits(word) && word.len() >= 3)
}

/// Whether the name of a block says garage door: as [`garage_door`], or a garage with the size of one.
pub(crate) fn is_garage_door(words: &[String]) -> bool {
    let garage = words.iter().any(|w| w == "GARAGE") && words.iter().any(|w| is_door_size(w));
    garage || garage_door(words).is_some()
}

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

/// Opening: doors and windows on one layer.
pub(crate) const OPENING: &[&str] = &[
    "OPENING",
    "OPENINGS",
    "OPNG",
    "OUVERTURE",
    "OUVERTURES",
    "ABERTURA",
    "ABERTURAS",
    "HUECO",
    "HUECOS",
    "ÖFFNUNG",
    "ÖFFNUNGEN",
    "OEFFNUNG",
    "APERTURA",
    "APERTURE",
    "VANO",
    "VANOS",
    "OTWÓR",
    "OTWORY",
    "DOORSWINDOWS",
    "DOORWINDOW",
];

/// Exterior.
pub(crate) const EXTERIOR: &[&str] = &["EXTR", "EXT", "EXTERIOR", "EXTERNAL"];
/// Interior.
pub(crate) const INTERIOR: &[&str] = &["INTR", "INT", "INTERIOR", "INTERNAL"];
/// Bearing.
pub(crate) const BEARING: &[&str] = &["BRNG", "BEARING"];
/// Partial height.
pub(crate) const PARTIAL_HEIGHT: &[&str] = &["PRHT", "PONY", "HALF"];
