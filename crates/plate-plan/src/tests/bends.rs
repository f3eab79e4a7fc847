//! Bends where several walls end, and walls at a flat angle beside one that ends.

use super::*;

/// Walls from one place: directions in degrees from the one that the house is turned to, and lengths.
fn from_one_place(turn: f64, arms: &[(f64, f64)], section: &'static str) -> Vec<W> {
    let arm = |(degrees, r): &(f64, f64)| {
        let (s, c) = (degrees + turn).to_radians().sin_cos();
        w(200., 200., 200. + r * c, 200. + r * s, section)
    };
    arms.iter().map(arm).collect()
}

/// Two walls nearly in line, and two more that end at them on either side, or one that leaves by less than 15 degrees from
/// one of them: the two are cut on the half angle, and neither of their plates runs to a point along the other.
#[test]
fn several_walls_at_a_bend_of_two() {
    let others: [&[(f64, f64)]; 6] = [
        &[(90., 140.), (-80., 120.)],
        &[(110., 140.), (60., 120.)],
        &[(-110., 140.), (-60., 120.), (100., 90.)],
        &[(90., 140.), (-60., 120.)],
        &[(-14., 140.)],
        &[(14., 90.)],
    ];
    let ways = [17.0_f64, 107., 197., 287.].into_iter().flat_map(|t| others.map(|o| (t, o)));
    for (bend, (turn, others)) in
        [0.5_f64, 1.2, 3.].into_iter().flat_map(|b| ways.clone().map(move |w| (b, w)))
    {
        let arms = [&[(180. + bend, 180.), (0., 130.)], others].concat();
        let (f, out) = proved(&from_one_place(turn, &arms, "2x4"), &Settings::default());
        let what = format!("{turn} {bend} {others:?}");
        let spliced = out.findings.iter().filter(|f| f.code == codes::BEND_SPLICED);
        assert_eq!(spliced.count(), 1, "{what}");
        let straight = |p: &&Piece| f.run(p.run).length().to_inches().round() != others[0].1;
        for p in out.value.pieces.iter().filter(straight) {
            let run = f.run(p.run);
            assert!(p.length <= run.length() + run.section.width(), "{what}: {:?}", p.outline);
        }
    }
}

/// A wall that ends near a bend where a third ends as well, and so reached beyond it, is brought there.
#[test]
fn a_wall_that_ends_near_a_bend_of_three() {
    for beyond in [0.5, 1., 1.5] {
        let mut walls = from_one_place(17., &[(180., 170.), (3., 120.), (90., 140.)], "2x4");
        let (s, c) = 197.0_f64.to_radians().sin_cos();
        let at = (200. + beyond * c, 200. + beyond * s);
        let (s, c) = (-43.0_f64).to_radians().sin_cos();
        walls.push(w(at.0, at.1, at.0 + 110. * c, at.1 + 110. * s, "2x4"));
        let (f, _) = proved(&walls, &Settings::default());
        assert!(f.runs.iter().all(|r| r.through.is_empty()), "{beyond}");
    }
    // By what the half angle ends the face of a wide wall before the bend.
    let wide = [
        w(300., 300., 312.599, 386.083, "2x12"),
        w(300., 300., 300.393, 195.001, "2x4"),
        w(302.9375, 302.9375, 401.239, 241.352, "2x4"),
    ];
    let (f, _) = proved(&wide, &Settings::default());
    assert!(f.runs.iter().all(|r| r.through.is_empty()));
}

/// A wall at some degrees to one that ends free before the two have parted: its plate lies along the other's face, and goes on
/// with its whole width from that one's end.
#[test]
fn a_wall_at_a_flat_angle_goes_on_beside_the_end_of_another() {
    proved(
        &[
            w(299.515625, 298.140625, 306.9203640002061, 444.95400940462036, "2x4"),
            w(300., 348., 300., 117., "2x4"),
            w(300.140625, 300.671875, 481.1398978134325, 301.1849451790361, "2x6"),
        ],
        &Settings::default(),
    );
    proved(
        &[
            w(299.609375, 300.75, 219.32993413111626, 219.81044617259496, "2x4"),
            w(301.26728346888376, 327.9713065946068, 296.65075083223576, 226.07583257139632, "2x4"),
            w(300., 300., 301.5326657226448, 528.9948709813882, "2x4"),
        ],
        &Settings::default(),
    );
}
