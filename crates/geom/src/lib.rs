//! Exact lengths and the little plane geometry everything else stands on.
//!
//! Knows: [`Length`] (integer nanometres), [`Point`], [`Frame`] (station and offset along a
//! straight line), [`Slope`], feet-inch-sixteenth text. Never touches: walls, lumber, files, floating-point
//! lengths kept between stages.
//!
//! Words: a *station* is a distance along a line from its start; an *offset* is the signed distance
//! to the left of it. One inch is 25.4 mm exactly (international yard and pound agreement, 1959), so
//! 1/64 in (396 875 nm) and 1 mm (1 000 000 nm) are both whole numbers here.
//!
//! ```
//! use geom::Length;
//! let a = Length::parse("7'-6 1/2\"").unwrap();
//! assert_eq!(a, Length::sixteenths(90 * 16 + 8));
//! assert_eq!(a.feet_inches().to_string(), "7'-6 1/2\"");
//! ```

mod frame;
mod length;
mod point;
mod slope;
mod text;

pub use frame::Frame;
pub use length::{Length, Unit};
pub use point::{Point, polygon_area_nm2};
pub use slope::Slope;
pub use text::{FeetInches, LengthTextError, Millimetres};
