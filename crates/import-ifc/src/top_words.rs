//! What is said about the top of a wall that is not level: how it runs and at what height its plates
//! are planned.

use crate::geometry::top::Run;
use crate::shape::{Bevel, TopLine, WallTop};
use crate::walls::Reader;

/// What to say about a top that is not plainly level; `above` gives inches above the storey.
pub fn top_words(
    reader: &Reader<'_, '_, '_>,
    top: &WallTop,
    above: impl Fn(f64) -> f64,
) -> Option<String> {
    let unclear = "raked or clipped top";
    let followed = top.legs.is_some();
    let (top, bevel, blind) = match top.line {
        TopLine::Level => return None,
        TopLine::Unknown => return Some(format!("{unclear}, planned level at full height")),
        TopLine::Known { top, bevel, blind } => (top, bevel, blind),
    };
    let at = |z: f64| reader.text(above(z));
    let (low, high, planned) = (at(top.range.0), at(top.range.1), at(top.planned));
    let twelfth = |slope: f64| format!("{:.1} in 12", slope * 12.0);
    let mut words = match top.run {
        Run::Level => String::new(),
        Run::Stepped(_) if followed => {
            format!("top in steps from {low} to {high}; plates follow it")
        }
        Run::Sloped(slope) | Run::FromFoot(slope) if followed => {
            format!("raked top, from {low} to {high} at up to {}; plates follow it", twelfth(slope))
        }
        Run::Stepped(part) => format!(
            "top from {low} to {high}, planned level at {planned}, its height over {:.0} % of its length",
            part * 100.0
        ),
        Run::Sloped(slope) => format!(
            "raked top, from {low} to {high} at up to {}, planned level at its low end",
            twelfth(slope)
        ),
        Run::FromFoot(slope) => format!(
            "raked top, from {low} at its foot to {high} at up to {}, planned level at its highest point",
            twelfth(slope)
        ),
    };
    let mut add = |more: String| {
        if !words.is_empty() {
            words += "; ";
        }
        words += &more;
    };
    match bevel {
        Bevel::None => {}
        Bevel::By(by) => {
            let by = reader.text_near(by * reader.unit.inches);
            let how = if followed {
                "its middle followed".to_owned()
            } else {
                format!("planned level at {planned}")
            };
            let up_to = if followed { "up to " } else { "" };
            add(format!("top bevelled by {up_to}{by} across the wall, {how}"));
        }
        Bevel::Uneven => {
            add(format!("top not the same at both faces of the wall, planned level at {planned}"))
        }
    }
    if blind {
        add(format!("{unclear}, cut by what is not followed, planned level at {planned}"));
    }
    (!words.is_empty()).then_some(words)
}
