//! Putting many things in order of a whole number.

/// Bits of one digit.
const DIGIT: u32 = 11;
/// Values of one digit.
const STRIPS: usize = 1 << DIGIT;
/// Fewer things than this are compared with each other.
const FEW: usize = 1024;

/// Puts things in order of a number; those of one number stay as they stood. Digit by digit from the least
/// one, digits that all share left out: about three passes over places in a plan, where comparing takes
/// seventeen.
pub(crate) fn by_number<T: Copy>(things: &mut Vec<T>, number: impl Fn(&T) -> u64) {
    let Some((least, most)) = range(things, &number) else { return };
    if things.len() < FEW {
        things.sort_by_key(number);
        return;
    }
    let place = |t: &T, shift: u32| ((number(t) - least) >> shift) as usize & ((1 << DIGIT) - 1);
    let mut other = things.clone();
    for shift in (0..u64::BITS - (most - least).leading_zeros()).step_by(DIGIT as usize) {
        let mut starts = [0_u32; 1 << DIGIT];
        things.iter().for_each(|t| starts[place(t, shift)] += 1);
        if starts.iter().any(|n| *n as usize == things.len()) {
            continue;
        }
        let mut before = 0;
        for n in &mut starts {
            before += std::mem::replace(n, before);
        }
        for t in things.iter() {
            let at = &mut starts[place(t, shift)];
            other[*at as usize] = *t;
            *at += 1;
        }
        std::mem::swap(things, &mut other);
    }
}

/// Puts things in order of a key, of which the number is the first part, and takes no more memory: into strips by
/// number first, then each strip by itself.
pub(crate) fn by_key<T: Copy, K: Ord>(
    things: &mut [T],
    number: impl Fn(&T) -> u64,
    key: impl Fn(&T) -> K,
) {
    let Some((least, most)) = range(things, &number).filter(|_| things.len() >= FEW) else {
        things.sort_unstable_by_key(key);
        return;
    };
    let shift = (u64::BITS - (most - least).leading_zeros()).saturating_sub(DIGIT);
    let strip = |t: &T| ((number(t) - least) >> shift) as usize & (STRIPS - 1);
    let mut ends = [0; STRIPS];
    things.iter().for_each(|t| ends[strip(t)] += 1);
    let (mut next, mut before) = ([0; STRIPS], 0);
    for (next, end) in next.iter_mut().zip(&mut ends) {
        *next = before;
        before += *end;
        *end = before;
    }
    let mut start = 0;
    for (k, end) in ends.into_iter().enumerate() {
        while next[k] < end {
            // Each to where it belongs, in exchange for what stood there, until one comes that belongs here.
            let mut here = things[next[k]];
            loop {
                let to = strip(&here);
                let at = &mut next[to];
                std::mem::swap(&mut here, &mut things[*at]);
                *at += 1;
                if to == k {
                    break;
                }
            }
        }
        things[start..end].sort_unstable_by_key(&key);
        start = end;
    }
}

/// The least number and the greatest; none where everything is in order.
fn range<T>(things: &[T], number: &impl Fn(&T) -> u64) -> Option<(u64, u64)> {
    let first = number(things.first()?);
    let (mut least, mut most, mut before, mut in_order) = (first, first, first, true);
    for n in things.iter().map(number) {
        (least, most) = (least.min(n), most.max(n));
        in_order &= before <= n;
        before = n;
    }
    (!in_order).then_some((least, most))
}

/// A number whose order is that of a signed one.
#[inline]
pub(crate) fn unsigned(n: i64) -> u64 {
    n as u64 ^ 1 << 63
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn by_key_as_any_sort(
            few in prop::collection::vec(any::<i64>(), 0..50),
            near in prop::collection::vec(-5_000_i64..5_000, FEW..FEW * 4),
            many in prop::collection::vec(prop_oneof![8 => 0_i64..3_000_000, 1 => any::<i64>()], FEW..FEW * 4))
        {
            for numbers in [few, near, many] {
                let mut things: Vec<(i64, usize)> = numbers.into_iter().zip(0..).collect();
                let mut expected = things.clone();
                expected.sort();
                by_key(&mut things, |t| unsigned(t.0), |t| *t);
                prop_assert_eq!(things, expected);
            }
        }
        #[test]
        fn as_any_stable_sort(
            few in prop::collection::vec(any::<i64>(), 0..50),
            near in prop::collection::vec(-5_000_000_i64..5_000_000, FEW..FEW * 2),
            many in prop::collection::vec(prop_oneof![-3_i64..3, any::<i64>()], FEW..FEW * 2))
        {
            for numbers in [few, near, many] {
                let mut things: Vec<(i64, usize)> = numbers.into_iter().zip(0..).collect();
                let mut expected = things.clone();
                expected.sort_by_key(|t| t.0);
                by_number(&mut things, |t| unsigned(t.0));
                prop_assert_eq!(things, expected);
            }
        }
    }
}
