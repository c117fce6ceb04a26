//! Binary fractions as the decimals a spreadsheet shows: 15 significant digits, halves rounded away from zero.

/// The digits that a spreadsheet keeps of a number.
const SIGNIFICANT: usize = 15;

/// A decimal number, `0.d1d2d3... x 10^point`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Decimal {
    negative: bool,
    digits: Vec<u8>,
    point: i32,
}

impl Decimal {
    /// The shortest decimal within 15 significant digits; none for what is no finite number.
    pub(super) fn new(value: f64) -> Option<Self> {
        if !value.is_finite() {
            return None;
        }
        let printed = format!("{:.*e}", SIGNIFICANT - 1, value.abs());
        let (mantissa, exponent) = printed.split_once('e')?;
        let digits = mantissa.bytes().filter(u8::is_ascii_digit).map(|b| b - b'0').collect();
        let exponent: i32 = exponent.parse().ok()?;
        Some(Self { negative: value < 0.0, digits, point: exponent + 1 }.trimmed())
    }

    fn trimmed(mut self) -> Self {
        while self.digits.last() == Some(&0) {
            self.digits.pop();
        }
        if self.digits.is_empty() {
            (self.negative, self.point) = (false, 0);
        }
        self
    }

    /// Power of ten of the first digit; 0 for zero.
    pub(super) fn exponent(&self) -> i32 {
        if self.digits.is_empty() { 0 } else { self.point - 1 }
    }

    /// The number without its sign.
    pub(super) fn magnitude(mut self) -> Self {
        self.negative = false;
        self
    }

    /// The number times a power of ten.
    pub(super) fn shifted(mut self, tens: i32) -> Self {
        self.point = self.point.saturating_add(tens);
        self.trimmed()
    }

    /// Rounded to so many decimals.
    pub(super) fn rounded(mut self, decimals: usize) -> Self {
        let keep = i64::from(self.point) + decimals as i64;
        let Ok(keep) = usize::try_from(keep) else {
            self.digits.clear();
            return self.trimmed();
        };
        if keep >= self.digits.len() {
            return self;
        }
        let up = self.digits.get(keep).is_some_and(|d| *d >= 5);
        self.digits.truncate(keep);
        if up {
            let mut carry = true;
            for digit in self.digits.iter_mut().rev() {
                carry = *digit == 9;
                *digit = if carry { 0 } else { *digit + 1 };
                if !carry {
                    break;
                }
            }
            if carry {
                self.digits.insert(0, 1);
                self.point += 1;
            }
        }
        self.trimmed()
    }

    /// Plain digits with at least so many places before and after the point.
    pub(super) fn text(&self, places: usize, decimals: usize) -> String {
        let digit = |at: i32| -> char {
            let found = usize::try_from(at).ok().and_then(|i| self.digits.get(i)).copied().unwrap_or(0);
            char::from(b'0' + found)
        };
        let mut out = String::new();
        if self.negative {
            out.push('-');
        }
        let whole = self.point.max(0);
        let padding = places.saturating_sub(usize::try_from(whole).unwrap_or(0));
        out.extend(std::iter::repeat_n('0', padding));
        out.extend((0..whole).map(digit));
        let after = i64::try_from(self.digits.len()).unwrap_or(0) - i64::from(self.point);
        let after = usize::try_from(after).unwrap_or(0);
        let after = if self.digits.is_empty() { decimals } else { after.max(decimals) };
        if after > 0 {
            out.push('.');
            out.extend((0..i32::try_from(after).unwrap_or(0)).map(|i| digit(self.point + i)));
        }
        out
    }

    /// As a general cell shows it: plain digits, with an exponent only where they would be very long.
    pub(super) fn general(&self) -> String {
        let exponent = self.exponent();
        if (-9..=20).contains(&exponent) {
            return self.text(1, 0);
        }
        let mantissa = Self { point: 1, ..self.clone() }.text(1, 0);
        format!("{mantissa}E{exponent:+03}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn general(value: f64) -> String {
        Decimal::new(value).unwrap().general()
    }

    fn fixed(value: f64, decimals: usize) -> String {
        Decimal::new(value).unwrap().rounded(decimals).text(1, decimals)
    }

    #[test]
    fn the_noise_of_binary_fractions_is_not_shown() {
        assert_eq!(general(73.1), "73.1");
        assert_eq!(general(0.1 + 0.2), "0.3");
        assert_eq!(general(6.0), "6");
        assert_eq!(general(-0.05), "-0.05");
        assert_eq!(general(0.0), "0");
        assert_eq!(general(12345.0), "12345");
        assert_eq!(general(1e21), "1E+21");
        assert_eq!(general(2.5e-12), "2.5E-12");
    }

    #[test]
    fn shown_decimals_are_kept_and_halves_round_away_from_zero() {
        assert_eq!(fixed(6.8, 2), "6.80");
        assert_eq!(fixed(2.675, 2), "2.68");
        assert_eq!(fixed(0.5, 0), "1");
        assert_eq!(fixed(0.04, 1), "0.0");
        assert_eq!(fixed(9.96, 1), "10.0");
        assert_eq!(fixed(-2.25, 1), "-2.3");
        assert_eq!(fixed(999.999, 2), "1000.00");
    }

    #[test]
    fn places_before_the_point_are_filled() {
        assert_eq!(Decimal::new(12.0).unwrap().text(4, 0), "0012");
        assert_eq!(Decimal::new(0.052).unwrap().shifted(2).text(1, 1), "5.2");
    }

    #[test]
    fn what_is_no_number_has_no_decimal() {
        assert_eq!(Decimal::new(f64::NAN), None);
        assert_eq!(Decimal::new(f64::INFINITY), None);
    }
}
