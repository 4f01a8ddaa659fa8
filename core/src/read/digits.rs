//! What the fast lanes take from the bytes of a row: short texts that are the same, plain numbers, ends of lines.
//!
//! Each gives up (`None`) on whatever is unusual, and the general reader judges it.

/// Whether two short texts of one length are the same, by their ends where these meet in the middle.
pub(super) fn is_same(one: &[u8], other: &[u8]) -> bool {
    if (16..=32).contains(&one.len()) {
        one.first_chunk::<16>() == other.first_chunk()
            && one.last_chunk::<16>() == other.last_chunk()
    } else {
        !one.is_empty() && one == other
    }
}

pub(super) fn digit(byte: u8) -> Option<u8> {
    let digit = byte.wrapping_sub(b'0');
    (digit < 10).then_some(digit)
}

/// Most digits of a number that the lane reads; it and the power of ten below it are exact in an `f64`.
const MOST_DIGITS: usize = 9;
/// Laid down once: built anew for each number, they took a tenth of a hindcast's time.
const POWERS_OF_TEN: &[f64; MOST_DIGITS] = &[1.0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8];

/// A plain decimal number, or a blank, and what follows it. A whole number divided by a power of ten, both exact, is
/// the nearest `f64`, as the general reader has it.
pub(super) fn number(field: &[u8]) -> Option<(Option<f64>, &[u8])> {
    let digits = field.strip_prefix(b"-").unwrap_or(field);
    let is_negative = digits.len() < field.len();
    let (whole, rest) = run_of_digits((0, MOST_DIGITS), digits)?;
    let count = digits.len() - rest.len();
    if count == 0 {
        let is_blank = !is_negative && matches!(rest.first(), None | Some(b',' | b'\n' | b'\r'));
        return is_blank.then_some((None, rest));
    }
    let (value, rest) = match rest {
        [b'.', decimals @ ..] => {
            let (all, rest) = run_of_digits((whole, MOST_DIGITS - count), decimals)?;
            let places = decimals.len() - rest.len();
            if places == 0 {
                return None;
            }
            (f64::from(all) / POWERS_OF_TEN.get(places)?, rest)
        }
        _ => (f64::from(whole), rest),
    };
    let value = if is_negative { 0.0 - value } else { value };
    Some((Some(value), rest))
}

/// A whole number, or a blank, and what follows it: tenths have no decimals.
pub(super) fn whole(field: &[u8]) -> Option<(Option<f64>, &[u8])> {
    number(field).filter(|(value, _)| value.is_none_or(|value| value.fract() == 0.0))
}

/// A run of digits behind those of `whole`, and what follows it; `None` where there are more than `room`. So few digits
/// never overflow.
#[inline]
fn run_of_digits((whole, room): (u32, usize), text: &[u8]) -> Option<(u32, &[u8])> {
    let (mut whole, mut rest, mut room) = (whole, text, room);
    while let [byte, next @ ..] = rest
        && let Some(digit) = digit(*byte)
    {
        if room == 0 {
            return None;
        }
        whole = whole.wrapping_mul(10).wrapping_add(u32::from(digit));
        (rest, room) = (next, room - 1);
    }
    Some((whole, rest))
}

/// What follows a field that is not read; the next byte shows whether it is a plain one.
pub(super) fn ignored(field: &[u8]) -> Option<&[u8]> {
    let ends = |byte: &u8| matches!(byte, b',' | b'\n' | b'\r' | b'"') || !byte.is_ascii();
    let end = field.iter().position(ends).unwrap_or(field.len());
    field.get(end..)
}

/// What follows the end of a line, or of the block.
pub(super) fn line_end(rest: &[u8]) -> Option<&[u8]> {
    match rest {
        [b'\n', rest @ ..] | [b'\r', b'\n', rest @ ..] => Some(rest),
        [] => Some(rest),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The same numbers as the general reader's, to the last bit: all tenths and hundredths that a record can hold.
    #[test]
    fn numbers_have_the_general_readers_bits() {
        for hundredths in -20_000..20_000_i32 {
            let (sign, size) = (if hundredths < 0 { "-" } else { "" }, hundredths.abs());
            for text in [
                format!("{sign}{}.{:02}", size / 100, size % 100),
                format!("{sign}{}.{}", size / 10, size % 10),
            ] {
                let found = number(text.as_bytes()).and_then(|(value, _)| value);
                let wanted = crate::quantity::number_of(&text);
                assert_eq!(found.map(f64::to_bits), wanted.map(f64::to_bits), "{text}");
            }
        }
    }
}
