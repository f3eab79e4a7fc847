//! The yield-limit equations for one nail in single shear, wood to wood.
//!
//! Source: ANSI/AWC NDS 2018, section 12.3.1, equations 12.3-1 to 12.3-6, with the dowel bearing
//! strength of table 12.3.3 (`Fe = 16600 G^1.84` psi for nails under 1/4 in) and the bending yield
//! strength of table I1 (common, box and sinker nails of low-carbon steel). Pounds, inches, psi.

/// A nail.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Nail {
    /// Shank diameter, inches.
    pub diameter_in: f64,
    /// Length under the head, inches.
    pub length_in: f64,
}

/// The two members one nail joins, side member (under the head) first.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Members {
    /// Thickness of the side member, inches.
    pub side_in: f64,
    /// Length of the nail that bears in the main member, inches.
    pub main_in: f64,
    /// Specific gravity of the side member's wood.
    pub side_gravity: f64,
    /// Specific gravity of the main member's wood.
    pub main_gravity: f64,
}

/// Dowel bearing strength as table 12.3.3 prints it: to the nearest 50 psi.
pub fn bearing_strength_psi(gravity: f64) -> f64 {
    (16_600.0 * gravity.powf(1.84) / 50.0).round() * 50.0
}

/// Bending yield strength of table I1; `None` over 0.375 in, which is no nail.
pub fn bending_yield_psi(diameter_in: f64) -> Option<f64> {
    const STEPS: [(f64, f64); 6] = [
        (0.142, 100_000.0),
        (0.177, 90_000.0),
        (0.236, 80_000.0),
        (0.273, 70_000.0),
        (0.344, 60_000.0),
        (0.375, 45_000.0),
    ];
    STEPS.iter().find(|(most, _)| diameter_in <= most + 1e-9).map(|s| s.1)
}

/// Reduction term of table 12.3.1B for nails under 1/4 in: 2.2 up to 0.17 in, `10 D + 0.5` above.
pub fn reduction_term(diameter_in: f64) -> f64 {
    if diameter_in <= 0.17 { 2.2 } else { 10.0 * diameter_in + 0.5 }
}

/// Reference lateral design value of one nail, pounds, with the mode that governs; `None` for what is
/// no nail or no wood.
pub fn design_value_lb(nail: Nail, members: Members) -> Option<(f64, &'static str)> {
    let fem = bearing_strength_psi(members.main_gravity);
    let fes = bearing_strength_psi(members.side_gravity);
    let least = fem.min(fes).min(nail.diameter_in).min(members.side_in).min(members.main_in);
    (least > 0.0).then_some(())?;
    governing(nail.diameter_in, members, fem, fes)
}

fn governing(d: f64, m: Members, fem: f64, fes: f64) -> Option<(f64, &'static str)> {
    let (lm, ls) = (m.main_in, m.side_in);
    let (fyb, rd) = (bending_yield_psi(d)?, reduction_term(d));
    let (re, rt) = (fem / fes, lm / ls);
    let k1 = ((re + 2.0 * re.powi(2) * (1.0 + rt + rt.powi(2)) + rt.powi(2) * re.powi(3)).sqrt()
        - re * (1.0 + rt))
        / (1.0 + re);
    let bend = |fraction: f64, length: f64| {
        2.0 * fyb * fraction * d.powi(2) / (3.0 * fem * length.powi(2))
    };
    let k2 = -1.0 + (2.0 * (1.0 + re) + bend(1.0 + 2.0 * re, lm)).sqrt();
    let k3 = -1.0 + (2.0 * (1.0 + re) / re + bend(2.0 + re, ls)).sqrt();
    let modes = [
        (d * lm * fem / rd, "Im"),
        (d * ls * fes / rd, "Is"),
        (k1 * d * ls * fes / rd, "II"),
        (k2 * d * lm * fem / ((1.0 + 2.0 * re) * rd), "IIIm"),
        (k3 * d * ls * fem / ((2.0 + re) * rd), "IIIs"),
        (d.powi(2) / rd * (2.0 * fem * fyb / (3.0 * (1.0 + re))).sqrt(), "IV"),
    ];
    modes.into_iter().min_by(|a, b| a.0.total_cmp(&b.0))
}

/// Factor for nails that reach less than ten diameters into the main member (NDS 12.1.6.4 and
/// table 12N, note 3): `p / 10 D`, at most 1; `None` under six diameters, which the standard refuses.
pub fn penetration_factor(penetration_in: f64, diameter_in: f64) -> Option<f64> {
    let diameters = penetration_in / diameter_in;
    (diameters >= 6.0 - 1e-9).then(|| (diameters / 10.0).min(1.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    const DOUGLAS_FIR: f64 = 0.50;
    const HEM_FIR: f64 = 0.43;
    const SPRUCE: f64 = 0.42;
    const SOUTHERN_PINE: f64 = 0.55;

    fn one_and_a_half(d: f64, gravity: f64) -> f64 {
        let members = Members {
            side_in: 1.5,
            main_in: 10.0 * d,
            side_gravity: gravity,
            main_gravity: gravity,
        };
        design_value_lb(Nail { diameter_in: d, length_in: 3.5 }, members).unwrap_or_default().0
    }

    /// Table 12.3.3 of the NDS (from memory): 4650 for G 0.50, 5550 for 0.55, 3500 for 0.43, 3350 for
    /// 0.42 psi.
    #[test]
    fn bearing_strengths_of_the_table() {
        let table =
            [(DOUGLAS_FIR, 4650.0), (SOUTHERN_PINE, 5550.0), (HEM_FIR, 3500.0), (SPRUCE, 3350.0)];
        for (gravity, psi) in table {
            assert_eq!(bearing_strength_psi(gravity), psi);
        }
    }

    /// Table 12N of the NDS: 16d common (0.162 in) through 1-1/2 in into Douglas fir 141 lb, southern
    /// pine 154, hem-fir 122, spruce-pine-fir 120; 10d common (0.148 in), hem-fir: 102.
    #[test]
    fn values_of_the_table_for_plates() {
        let table = [
            (0.162, DOUGLAS_FIR, 141.0),
            (0.162, SOUTHERN_PINE, 154.0),
            (0.162, HEM_FIR, 122.0),
            (0.162, SPRUCE, 120.0),
            (0.148, HEM_FIR, 102.0),
        ];
        for (d, gravity, lb) in table {
            assert_eq!(one_and_a_half(d, gravity).round(), lb, "{d} {gravity}");
        }
    }

    /// Worked example of the American Wood Council's connection design examples: 0.148 in nail, 3/4 in
    /// side member, 2.25 in of main member, G 0.50, bearing strength not rounded: 105.10 lb, mode IIIs.
    #[test]
    fn worked_example_with_unrounded_bearing() {
        let fe = 16_600.0 * 0.5_f64.powf(1.84);
        let members =
            Members { side_in: 0.75, main_in: 2.25, side_gravity: 0.5, main_gravity: 0.5 };
        let (lb, mode) = governing(0.148, members, fe, fe).unwrap_or_default();
        assert!((lb - 105.10).abs() < 0.005, "{lb}");
        assert_eq!(mode, "IIIs");
    }

    /// Table 12.3.1B: 2.2 at 0.162 in, 2.42 at 0.192 in. NDS 12.1.6.4: 0.97 in is under six diameters
    /// of a 16d common nail (0.972 in); 1.25 in gives 0.7716.
    #[test]
    fn reduction_terms_and_penetration() {
        assert_eq!(reduction_term(0.162), 2.2);
        assert!((reduction_term(0.192) - 2.42).abs() < 1e-12);
        assert_eq!(penetration_factor(0.97, 0.162), None);
        assert!((penetration_factor(1.25, 0.162).unwrap_or_default() - 0.7716).abs() < 5e-5);
        assert_eq!(penetration_factor(2.0, 0.162), Some(1.0));
        assert_eq!(bending_yield_psi(0.5), None);
    }
}
