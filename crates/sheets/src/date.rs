//! The day that stands on the sheets.

use std::fmt;

/// A day, written as `25 November 2026`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Date {
    /// The year, such as 2026.
    pub year: i32,
    /// The month, from 1 to 12.
    pub month: u8,
    /// The day of the month, from 1.
    pub day: u8,
}

const MONTHS: [&str; 12] = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
];

impl fmt::Display for Date {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match MONTHS.get(usize::from(self.month).wrapping_sub(1)) {
            Some(month) => write!(f, "{} {month} {}", self.day, self.year),
            None => write!(f, "{}-{}-{}", self.year, self.month, self.day),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_day_is_written_with_its_month_in_words() {
        assert_eq!(Date { year: 2026, month: 11, day: 25 }.to_string(), "25 November 2026");
    }
}
