//! Numbers as drawings write them, read exactly and eight digits at a time.
//!
//! Knows: whole numbers, and digits with a point among them. Never touches: exponents and anything else that
//! numbers may be written with; these are the library's.

/// Powers of ten that are exact as floats.
const TENS: [f64; 20] = [
    1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16,
    1e17, 1e18, 1e19,
];
/// Whole numbers below this are exact as floats.
const EXACT: u64 = 1 << 53;
/// Digits that a `u64` holds whatever they are.
const MOST_DIGITS: usize = 19;

/// The nearest float of a decimal number without exponent, of up to 19 digits as nearly all in a drawing are;
/// `None` of anything else.
#[inline]
pub fn plain_decimal(text: &[u8]) -> Option<f64> {
    let (negative, text) = match text {
        [b'-', rest @ ..] => (true, rest),
        rest => (false, rest),
    };
    if text.len() > MOST_DIGITS + 1 {
        return None;
    }
    let Digits { value, count, places } = digits_at_once(text).or_else(|| digits_by_one(text))?;
    if count == 0 || count > MOST_DIGITS {
        return None;
    }
    Some(signed(negative, over_ten(value, places)))
}

/// Bytes that hold every number [`decimal_in`] reads, and what is looked at of those after it.
pub const DECIMAL: usize = 40;

/// The decimal number that the bytes start with, as [`plain_decimal`] reads it, and its length: up to seven
/// digits before the point and 16 after it, 19 in all. What follows it is the caller's to judge: it may be
/// an exponent, or one more digit. `None` of anything else, and where nothing follows.
#[inline]
pub fn leading_decimal(bytes: &[u8]) -> Option<(f64, usize)> {
    match bytes.first_chunk() {
        Some(head) => decimal_in(head),
        None => {
            // Near the end of the bytes, as if blanks followed.
            let mut head = [b' '; DECIMAL];
            head.get_mut(..bytes.len())?.copy_from_slice(bytes);
            decimal_in(&head).filter(|(_, len)| *len < bytes.len())
        }
    }
}

/// The same where there are bytes enough.
#[inline(always)]
pub fn decimal_in(head: &[u8; DECIMAL]) -> Option<(f64, usize)> {
    let negative = head[0] == b'-';
    let sign = usize::from(negative);
    let first = eight_at(head, sign);
    let others = not_digits(first) & HIGHS;
    let point = others.trailing_zeros() & !7;
    if point == 0 || point == 64 {
        return None;
    }
    let whole = point as usize / 8;
    if first >> point & 0xFF != u64::from(b'.' ^ b'0') {
        let value = eight_digits(first << (64 - point)) as f64;
        return Some((signed(negative, value), sign + whole));
    }
    let before = first & ((1 << point) - 1);
    // Nothing is carried out of a point, so that the next that is no digit is marked rightly as well.
    let others = others & (others - 1);
    if others != 0 {
        let end = others.trailing_zeros() & !7;
        let all = before | first >> (point + 8) << point;
        let places = end as usize / 8 - whole - 1;
        // Few digits and a power of ten are exact, so that their quotient is the nearest number there is.
        let value = eight_digits(all << (72 - end)) as f64 / TENS[places];
        return Some((signed(negative, value), sign + end as usize / 8));
    }
    long_decimal_in(head, before, whole)
}

/// The same of seven digits and more, of which `before` are those before the point and `whole` their number.
#[inline(never)]
fn long_decimal_in(head: &[u8; DECIMAL], before: u64, whole: usize) -> Option<(f64, usize)> {
    let negative = head[0] == b'-';
    let sign = usize::from(negative);
    let point = (8 * whole as u32) & 63;
    let second = eight_at(head, sign + whole + 1);
    let third = eight_at(head, sign + whole + 9);
    let mut places = (not_digits(second) & HIGHS).trailing_zeros() as usize / 8;
    if places == 8 {
        places += (not_digits(third) & HIGHS).trailing_zeros() as usize / 8;
    }
    let count = whole + places;
    if !(8..=MOST_DIGITS).contains(&count) {
        // Seven digits with a point among them.
        let value = eight_digits((before | second << point) << 8) as f64 / TENS[places];
        return (count == 7).then_some((signed(negative, value), sign + 8));
    }
    // Without the point, eight at a time. How many there are differs from number to number, so that a branch
    // on it would cost more than to count in what is not there.
    let heads = before | second << point;
    let middles = second >> (64 - point) | third << point;
    let tails = third >> (64 - point);
    let in_middle = (count - 8).min(8);
    let in_tail = count - 8 - in_middle;
    let value =
        eight_digits(heads) * POWERS[in_middle] + eight_digits(first_of(middles, in_middle));
    let value = value * POWERS[in_tail] + eight_digits(first_of(tails, in_tail));
    Some((signed(negative, tenth(value, places)), sign + count + 1))
}

/// Eight bytes of the digits' own values from `at` on, which is below 32.
#[inline(always)]
fn eight_at(head: &[u8; DECIMAL], at: usize) -> u64 {
    let eight = head[at % 32..].first_chunk().unwrap_or(&[0; 8]);
    u64::from_le_bytes(*eight) ^ ZEROS
}

/// The first `count` of eight bytes, with zeros before them.
#[inline(always)]
fn first_of(bytes: u64, count: usize) -> u64 {
    // In two steps, since none of them is a shift by all bits.
    let others = 8 * (8 - count as u32) / 2;
    bytes << others << others
}

/// The whole number of one to seven digits that the bytes start with, and how many they are; `None` of
/// others, and where there are no eight bytes.
#[inline]
pub fn leading_whole(bytes: &[u8]) -> Option<(u64, usize)> {
    leading_digits(bytes).filter(|(_, count)| matches!(count, 1..=7))
}

/// The number that the digits at the start of eight bytes make, and how many they are.
#[inline]
fn leading_digits(bytes: &[u8]) -> Option<(u64, usize)> {
    let digits = u64::from_le_bytes(*bytes.first_chunk()?) ^ ZEROS;
    // The lowest byte that is no digit is marked rightly: nothing is carried into it.
    let bits = (not_digits(digits) & (ONES << 7)).trailing_zeros() & !7;
    Some((eight_digits(digits.checked_shl(64 - bits).unwrap_or(0)), bits as usize / 8))
}

#[inline]
fn signed(negative: bool, v: f64) -> f64 {
    // No branch: signs come as they like.
    f64::from_bits(v.to_bits() ^ u64::from(negative) << 63)
}

/// The float nearest to a whole number over a power of ten, up to the 19th.
#[inline]
fn over_ten(value: u64, places: usize) -> f64 {
    match TENS.get(places) {
        // Digits and power of ten are exact, so that their quotient is the nearest number there is.
        Some(ten) if value < EXACT => value as f64 / ten,
        _ => tenth(value, places),
    }
}

/// The same by a multiplication, whatever the value is.
#[inline(always)]
fn tenth(value: u64, places: usize) -> f64 {
    let up = value.leading_zeros();
    let (part, exponent) = TENTHS[places];
    // Nothing stays nothing, wherever it is shifted.
    let product = u128::from(value.wrapping_shl(up)) * u128::from(part);
    // What the part lacks makes the quotient less by no more than 1 of these, the rest of the product by less
    // than 1: only beside the half of a step either way of rounding could be meant. Without its last bit the
    // upper half is a signed number, which is faster to be made a float of, and then one more beside is. Whether
    // a step is 10 or 11 bits is not asked: what lies beside a float itself is left out as well.
    let high = (product >> 64) as u64;
    if high.wrapping_add(2) & 0x1FC == 0 {
        return beside_half(value, places);
    }
    (high >> 1) as i64 as f64 * power_of_two(exponent + 1 - up as i32)
}

/// The same where the product does not tell: of floats that are short in decimal, mostly.
#[inline(never)]
fn beside_half(value: u64, places: usize) -> f64 {
    match TENS.get(places) {
        Some(ten) if value < EXACT => value as f64 / ten,
        _ => nearest_quotient(value, 10_u64.pow(places as u32)),
    }
}

/// For each power of ten up to the 19th the first 64 bits of one over it, the first of them set, and the power
/// of two that belongs to the upper half of their product with a whole number.
const TENTHS: [(u64, i32); 20] = {
    let mut all = [(1 << 63, 1); 20];
    let (mut ten, mut places) = (1_u128, 0);
    while places < 20 {
        // The number of its bits, of a power of two one less.
        let bits = 128 - (ten - 1).leading_zeros();
        all[places] = (((1_u128 << (63 + bits)) / ten) as u64, 1 - bits as i32);
        ten *= 10;
        places += 1;
    }
    all
};

/// The digits of a number as a whole number, how many they are and how many of them follow the point. The
/// value means nothing where there are more than [`MOST_DIGITS`].
struct Digits {
    value: u64,
    count: usize,
    places: usize,
}

/// Digit by digit: right for all, and fast for few.
#[inline]
fn digits_by_one(text: &[u8]) -> Option<Digits> {
    let (mut value, mut after_point) = (0_u64, None);
    let mut rest = text;
    while let [b, tail @ ..] = rest {
        match b {
            b'0'..=b'9' => value = value.wrapping_mul(10).wrapping_add(u64::from(b - b'0')),
            b'.' if after_point.is_none() => after_point = Some(tail.len()),
            _ => return None,
        }
        rest = tail;
    }
    let count = text.len() - usize::from(after_point.is_some());
    Some(Digits { value, count, places: after_point.unwrap_or(0) })
}

/// Eight digits at a time: up to seven before the point and 16 after it; `None` of other numbers. How many
/// digits there are differs from number to number, so that a branch on each costs more than all else.
#[inline]
fn digits_at_once(text: &[u8]) -> Option<Digits> {
    let first = u64::from_le_bytes(*text.first_chunk()?) ^ ZEROS;
    let last = u64::from_le_bytes(*text.last_chunk()?) ^ ZEROS;
    // The lowest byte that is a point is marked rightly, whatever the borrow does to higher ones.
    let points = first ^ (ONES * u64::from(b'.' ^ b'0'));
    let point = (points.wrapping_sub(ONES) & !points & (ONES << 7)).trailing_zeros() as usize / 8;
    let places = text.len().checked_sub(point + 1)?;
    if point == 0 || point > 7 {
        return None;
    }
    let whole = first << (8 * (8 - point));
    let (value, strange) = match places {
        0 => (eight_digits(whole), not_digits(whole)),
        1..=8 => {
            let tail = last_of(last, places);
            let value = eight_digits(whole) * POWERS[places] + eight_digits(tail);
            (value, not_digits(whole) | not_digits(tail))
        }
        9..=16 => {
            let middle = u64::from_le_bytes(*text.get(point + 1..)?.first_chunk()?) ^ ZEROS;
            let tail = last_of(last, places - 8);
            let head = eight_digits(whole) * POWERS[8] + eight_digits(middle);
            let value = head.wrapping_mul(POWERS[places - 8]).wrapping_add(eight_digits(tail));
            (value, not_digits(whole) | not_digits(middle) | not_digits(tail))
        }
        _ => return None,
    };
    (strange & (ONES << 7) == 0).then_some(Digits { value, count: point + places, places })
}

/// Powers of ten up to the eighth.
const POWERS: [u64; 9] = [1, 10, 100, 1000, 10_000, 100_000, 1_000_000, 10_000_000, 100_000_000];
const ONES: u64 = 0x0101_0101_0101_0101;
/// The first bit of each byte.
const HIGHS: u64 = ONES << 7;
/// The text of eight zeros: with it taken out, digits are their own values.
const ZEROS: u64 = ONES * b'0' as u64;

/// The last `count` of eight bytes, 1 to 8, with zeros before them.
#[inline]
fn last_of(bytes: u64, count: usize) -> u64 {
    let others = 8 * (8 - count);
    bytes >> others << others
}

/// The first bit of some byte is set where one of eight is greater than 9.
#[inline]
fn not_digits(bytes: u64) -> u64 {
    bytes.wrapping_add(ONES * (0x80 - 10)) | bytes
}

/// The number that eight digits make, the first in the lowest byte; of no meaning where one of them is none.
#[inline]
fn eight_digits(ones: u64) -> u64 {
    // Pairs of neighbours, then pairs of pairs, then both halves.
    let pairs = (ones.wrapping_mul(10).wrapping_add(ones >> 8)) & 0x00FF_00FF_00FF_00FF;
    let fours = (pairs * 100 + (pairs >> 16)) & 0x0000_FFFF_0000_FFFF;
    fours.wrapping_mul(10_000).wrapping_add(fours >> 32) & 0xFFFF_FFFF
}

/// The float nearest to `a / b`, by whole numbers: of two as near the even one.
#[cold]
fn nearest_quotient(a: u64, b: u64) -> f64 {
    if a == 0 {
        return 0.0;
    }
    // Both with their first bit set, the quotient has 63 or 64 bits, ten more than are kept.
    let (up, down) = (a.leading_zeros(), b.leading_zeros());
    let (a, b) = (u128::from(a << up) << 63, u128::from(b << down));
    let quotient = a / b;
    // A remainder, however small, decides where the rest would be half a step.
    let rest = u64::from(a - quotient * b != 0);
    let exponent = 63 + up as i32 - down as i32;
    (quotient as u64 | rest) as f64 * power_of_two(-exponent)
}

/// Two to a power that a float has exactly.
fn power_of_two(exponent: i32) -> f64 {
    f64::from_bits(((1023 + exponent) as u64) << 52)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn agrees(text: &str) -> bool {
        let library = fast_float2::parse::<f64, _>(text.as_bytes());
        match plain_decimal(text.as_bytes()) {
            Some(v) => library.is_ok_and(|l| l.to_bits() == v.to_bits()),
            None => {
                let digits = text.bytes().filter(u8::is_ascii_digit).count();
                digits == 0 || digits > MOST_DIGITS || library.is_err()
            }
        }
    }

    proptest::proptest! {
        /// As the library, to the last bit.
        #[test]
        fn decimals_are_exact(text in "-?[0-9]{0,9}\\.?[0-9]{0,18}") {
            proptest::prop_assert!(agrees(&text), "{text}");
        }

        /// As programs write floats: the shortest digits that give them back.
        #[test]
        fn floats_come_back(v in proptest::num::f64::NORMAL, k in 0..60_i32) {
            for v in [v, v.fract() * f64::powi(2.0, k)] {
                let text = format!("{v:?}");
                if let Some(read) = plain_decimal(text.as_bytes()) {
                    proptest::prop_assert_eq!(read.to_bits(), v.to_bits(), "{}", text);
                }
                proptest::prop_assert!(text.contains('e') || agrees(&text), "{text}");
            }
        }

        /// Both ways agree wherever the faster one gives an answer.
        #[test]
        fn at_once_as_by_one(text in "[0-9]{0,9}[.x]?[0-9]{0,18}") {
            let text = text.as_bytes();
            if let (true, Some(fast)) = (text.len() <= MOST_DIGITS + 1, digits_at_once(text)) {
                let slow = digits_by_one(text).map(|d| (d.value, d.count, d.places));
                proptest::prop_assert_eq!(Some((fast.value, fast.count, fast.places)), slow);
            }
        }

        /// At the start of longer text as by themselves.
        #[test]
        fn leading_as_alone(text in "-?[0-9]{0,9}\\.?[0-9]{0,20}", after in "[,)eE \\-.x][0-9,)]{16}") {
            let full = format!("{text}{after}");
            let decimal = leading_decimal(full.as_bytes());
            let longer = format!("{full}{after}{after}");
            proptest::prop_assert_eq!(leading_decimal(longer.as_bytes()), decimal, "{}", longer);
            if let Some((v, len)) = decimal {
                let library = fast_float2::parse::<f64, _>(&full[..len]).map(f64::to_bits);
                proptest::prop_assert_eq!(library.ok(), Some(v.to_bits()), "{}", full);
                proptest::prop_assert!(text.is_empty() || len <= text.len() || after.starts_with('.'), "{full}");
            }
            let usual = text.trim_start_matches('-').split('.').map(str::len).collect::<Vec<_>>();
            if matches!(usual[..], [1..=7] | [1..=7, 0..=12]) && !after.starts_with('.') {
                proptest::prop_assert_eq!(decimal.map(|d| d.1), Some(text.len()), "{}", full);
            }
            let digits = full.bytes().take_while(u8::is_ascii_digit).count();
            let whole = matches!(digits, 1..=7).then(|| (full[..digits].parse().unwrap(), digits));
            proptest::prop_assert_eq!(leading_whole(full.as_bytes()), whole, "{}", full);
        }

        /// The multiplication as the division, of all whole numbers and beside halves of a step.
        #[test]
        fn tenths_are_the_nearest_ones(v in proptest::num::u64::ANY, down in 0..64_u32, places in 0..20_usize, near in -2..3_i64) {
            let ten = 10_u128.pow(places as u32);
            // A number half way between two floats, times the power of ten, where that is a whole number.
            let half = (u128::from(v >> 11) << 1 | 1) << 1;
            let beside = ((half * ten) >> down).min(u128::from(u64::MAX) - 4) as u64;
            for v in [v >> down, beside.saturating_add_signed(near)] {
                let right = nearest_quotient(v, 10_u64.pow(places as u32));
                proptest::prop_assert_eq!(tenth(v, places).to_bits(), right.to_bits(), "{} {}", v, places);
            }
        }

        /// Half way between two floats, and a little beside it.
        #[test]
        fn halves_are_rounded_to_even(whole in 1_u64 << 53..1 << 60) {
            for text in [format!("{whole}"), format!("{whole}.0"), format!("{whole}.5")] {
                proptest::prop_assert!(agrees(&text), "{text}");
            }
        }

        #[test]
        fn eight_at_once(text in "[0-9]{8}", at in 0..8_usize, other in proptest::prelude::any::<u8>()) {
            let mut eight = <[u8; 8]>::try_from(text.as_bytes()).unwrap();
            let bare = |eight| u64::from_le_bytes(eight) ^ ZEROS;
            proptest::prop_assert_eq!(Some(eight_digits(bare(eight))), text.parse().ok());
            eight[at] = other;
            let strange = not_digits(bare(eight)) & (ONES << 7) != 0;
            proptest::prop_assert_eq!(strange, !other.is_ascii_digit());
        }
    }

    #[test]
    fn numbers_at_the_end_of_the_bytes() {
        assert_eq!(leading_decimal(b"-12.5"), None);
        assert_eq!(leading_decimal(b"12.5,3.25);\n#7"), Some((12.5, 4)));
        assert_eq!(leading_decimal(b"12.5,3.2"), Some((12.5, 4)));
        assert_eq!(leading_decimal(b"-12.5,3.2"), Some((-12.5, 5)));
        assert_eq!(leading_decimal(b"12.5,3."), Some((12.5, 4)));
        assert_eq!(leading_decimal(b"1234.567"), None);
        assert_eq!(leading_decimal(b"123456.,"), Some((123_456.0, 7)));
        assert_eq!(leading_decimal(b"1.23456;"), Some((1.23456, 7)));
        assert_eq!(leading_decimal(b"1..23456"), Some((1.0, 2)));
        assert_eq!(leading_decimal(b""), None);
        assert_eq!(leading_decimal(b"-"), None);
        assert_eq!(leading_whole(b"123)"), None);
        assert_eq!(leading_whole(b"123);   "), Some((123, 3)));
    }

    #[test]
    fn what_is_no_plain_number_is_left_to_the_library() {
        for text in ["", "-", ".", "1e3", "1,5", "1.2.3", "--1", "+1", "12345678.1234567x", "inf"] {
            assert_eq!(plain_decimal(text.as_bytes()), None, "{text}");
        }
        assert_eq!(plain_decimal(b"-0.0").map(f64::to_bits), Some((-0.0_f64).to_bits()));
        assert_eq!(plain_decimal(b"00000000000000.00001"), Some(0.00001));
    }
}
