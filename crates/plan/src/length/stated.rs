//! Lengths as a painter writes them.

use thiserror::Error;

use super::{Length, Unit};

/// No number in a length may exceed this, in its own unit: far beyond any canvas, and small enough that every
/// sixty-fourth of an inch below it is held exactly.
const MAX_NUMBER: f64 = 1.0e6;

/// A length together with the unit it was stated in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stated {
    /// The length.
    pub length: Length,
    /// The unit the painter wrote, or the one a bare number took.
    pub unit: Unit,
}

impl Length {
    /// Reads a length such as `12in`, `12 1/2 in`, `12-1/2"`, `30.5cm`, `305 mm`; a bare number such as `11 15/16`
    /// takes `bare` as its unit.
    ///
    /// # Errors
    /// When the text is not a number with a unit, when a bare number has no unit to take, or when the number is
    /// too large to be a length.
    pub fn parse(text: &str, bare: Option<Unit>) -> Result<Stated, LengthError> {
        let half = Half::read(text, text)?;
        half.with_unit(bare, text)
    }
}

/// Why a text is not a length.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum LengthError {
    /// Nothing where a length belongs.
    #[error("The length is empty. Write for example 12in, 12 1/2 in, 30.5cm or 305mm.")]
    Empty,
    /// Nothing where a width and a height belong.
    #[error("Width and height are empty. Write for example 12x16in or 30.5 x 40.6 cm.")]
    EmptyPair,
    /// Not a number with a unit.
    #[error("“{text}” is not a length. Write for example 12in, 12 1/2 in, 30.5cm or 305mm.")]
    NotALength {
        /// The whole text as given.
        text: String,
    },
    /// A number without a unit, and none to take.
    #[error("“{text}” has no unit. Write for example {text}in, {text}cm or {text}mm.")]
    NoUnit {
        /// The whole text as given.
        text: String,
    },
    /// A comma that may part thousands or begin the decimals: `1,250 mm`.
    #[error(
        "The comma in “{text}” may part thousands or begin the decimals. Write it with a point, or without a comma."
    )]
    TwoWays {
        /// The whole text as given.
        text: String,
    },
    /// Too large to be a length on a canvas.
    #[error("“{text}” is too large to be a length on a canvas.")]
    TooLarge {
        /// The whole text as given.
        text: String,
    },
    /// Not two lengths with `x` between them.
    #[error("“{text}” is not a width and a height. Write for example 12x16in or 30.5 x 40.6 cm.")]
    NotAPair {
        /// The whole text as given.
        text: String,
    },
}

/// Reads a width and a height with `x`, `×` or `by` between them: `12x16in`, `12 1/2 in × 16 in`. A bare number takes
/// the unit of its pair; where both are bare they take `bare`.
///
/// # Errors
/// When the text is not two lengths, or no unit can be found for them.
pub fn parse_pair(text: &str, bare: Option<Unit>) -> Result<(Stated, Stated), LengthError> {
    if text.trim().is_empty() {
        return Err(LengthError::EmptyPair);
    }
    let not_a_pair = || LengthError::NotAPair { text: text.to_owned() };
    let lowered = text.to_lowercase().replace("by", "x").replace(['×', '*'], "x");
    let (first, second) = lowered.split_once('x').ok_or_else(not_a_pair)?;
    let first = Half::read(first, text).map_err(|error| pair_error(error, text))?;
    let second = Half::read(second, text).map_err(|error| pair_error(error, text))?;
    let own_unit = second.unit.or(first.unit).or(bare);
    // What to write is told by the text itself with a unit: that has to be a size.
    if own_unit.is_none() && (first.number <= 0.0 || second.number <= 0.0) {
        return Err(not_a_pair());
    }
    Ok((first.with_unit(own_unit, text)?, second.with_unit(own_unit, text)?))
}

/// Reads lengths separated by commas: `12in,12 1/16,12,12,17,17`. A bare number takes the unit of the first length
/// that states one, or `bare` where none does.
///
/// # Errors
/// When one of the parts is not a length; the error quotes that part.
pub fn parse_list(text: &str, bare: Option<Unit>) -> Result<Vec<Stated>, LengthError> {
    let halves = text.split(',').map(|part| Half::read(part, part)).collect::<Result<Vec<_>, _>>()?;
    let shared = halves.iter().find_map(|half| half.unit).or(bare);
    halves.iter().zip(text.split(',')).map(|(half, part)| half.with_unit(shared, part)).collect()
}

fn pair_error(error: LengthError, text: &str) -> LengthError {
    match error {
        LengthError::NotALength { .. } => LengthError::NotAPair { text: text.to_owned() },
        other => other,
    }
}

/// A number read from text, with the unit written behind it if there was one.
struct Half {
    number: f64,
    /// Whether its comma may part thousands.
    may_be_thousands: bool,
    unit: Option<Unit>,
}

impl Half {
    fn read(part: &str, whole: &str) -> Result<Self, LengthError> {
        let not_a_length = || LengthError::NotALength { text: whole.trim().to_owned() };
        let part = part.trim();
        if part.is_empty() {
            return Err(LengthError::Empty);
        }
        let end_of_number = part
            .rfind(|c: char| c.is_ascii_digit() || vulgar_fraction(c).is_some())
            .ok_or_else(not_a_length)?;
        let end_of_number = end_of_number + part[end_of_number..].chars().next().map_or(0, char::len_utf8);
        let (number, unit) = part.split_at(end_of_number);
        let unit = match unit.trim() {
            "" => None,
            name => Some(Unit::named(name).ok_or_else(not_a_length)?),
        };
        let may_be_thousands = may_be_thousands(number);
        let number = read_number(number).ok_or_else(not_a_length)?;
        if !number.is_finite() || number.abs() > MAX_NUMBER {
            return Err(LengthError::TooLarge { text: whole.trim().to_owned() });
        }
        Ok(Self { number, may_be_thousands, unit })
    }

    fn with_unit(&self, bare: Option<Unit>, whole: &str) -> Result<Stated, LengthError> {
        let unit = self.unit.or(bare).ok_or_else(|| LengthError::NoUnit { text: whole.trim().to_owned() })?;
        // Nobody states a thousandth of a millimetre; in inches 1,125 is 1 1/8.
        if self.may_be_thousands && unit == Unit::Millimetre {
            return Err(LengthError::TwoWays { text: whole.trim().to_owned() });
        }
        Ok(Stated { length: Length::of(self.number, unit), unit })
    }
}

/// Reads `12`, `12.5`, `12,5`, `1/2`, `12 1/2`, `12-1/2`, `12½`, each with an optional sign.
fn read_number(text: &str) -> Option<f64> {
    let text = text.trim();
    let (sign, text) = match text.strip_prefix(['-', '−']) {
        Some(rest) => (-1.0, rest.trim_start()),
        None => (1.0, text.strip_prefix('+').unwrap_or(text)),
    };
    let spelled: String = text
        .chars()
        .map(|c| match vulgar_fraction(c) {
            Some((top, bottom)) => format!(" {top}/{bottom}"),
            None if c == '⁄' => "/".to_owned(),
            None => c.to_string(),
        })
        .collect();
    let parts: Vec<&str> = spelled.split([' ', '-']).filter(|part| !part.is_empty()).collect();
    let magnitude = match parts[..] {
        [only] if only.contains('/') => read_fraction(only)?,
        [only] => read_decimal(only)?,
        [whole, fraction] => read_whole(whole)? + read_fraction(fraction).filter(|part| *part < 1.0)?,
        _ => return None,
    };
    Some(sign * magnitude)
}

/// Whether a number is written as one to three digits, the first of them no zero, a comma and three digits.
fn may_be_thousands(text: &str) -> bool {
    text.trim().trim_start_matches(['-', '−', '+']).split_once(',').is_some_and(|(before, after)| {
        let is_number = |part: &str| part.bytes().all(|b| b.is_ascii_digit());
        (1..=3).contains(&before.len())
            && !before.starts_with('0')
            && after.len() == 3
            && is_number(before)
            && is_number(after)
    })
}

fn read_fraction(text: &str) -> Option<f64> {
    let (top, bottom) = text.split_once('/')?;
    let (top, bottom) = (read_whole(top)?, read_whole(bottom)?);
    (bottom > 0.0).then_some(top / bottom)
}

fn read_whole(text: &str) -> Option<f64> {
    (!text.is_empty() && text.bytes().all(|b| b.is_ascii_digit())).then(|| text.parse().ok()).flatten()
}

fn read_decimal(text: &str) -> Option<f64> {
    let text = text.replacen(',', ".", 1);
    let plain =
        text.bytes().all(|b| b.is_ascii_digit() || b == b'.') && text.bytes().any(|b| b.is_ascii_digit());
    plain.then(|| text.parse().ok()).flatten()
}

fn vulgar_fraction(c: char) -> Option<(u8, u8)> {
    Some(match c {
        '½' => (1, 2),
        '¼' => (1, 4),
        '¾' => (3, 4),
        '⅛' => (1, 8),
        '⅜' => (3, 8),
        '⅝' => (5, 8),
        '⅞' => (7, 8),
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn mm(text: &str) -> f64 {
        Length::parse(text, None).unwrap().length.to_mm()
    }

    #[test]
    fn a_length_is_read_in_every_way_a_painter_writes_it() {
        for text in [
            "12 1/2 in",
            "12-1/2\"",
            "12 1/2in",
            "12½ in",
            "12.5 inches",
            "12,5 in",
            "12 1⁄2 ″",
            " 12-1/2 IN ",
        ] {
            assert_eq!(mm(text), 317.5, "{text}");
        }
        assert_eq!(mm("12in"), 304.8);
        assert_eq!(mm("30.5cm"), 305.0);
        assert_eq!(mm("305 mm"), 305.0);
        assert_eq!(mm("1/2 in"), 12.7);
        assert_eq!(mm("-1/2 in"), -12.7);
        assert_eq!(mm("11 15/16in"), 303.2125);
    }

    #[test]
    fn a_bare_number_takes_the_unit_of_its_pair() {
        let sizes = [
            "12x16in",
            "12 x 16 in",
            "12in x 16",
            "12 in × 16in",
            "12 by 16 inches",
            "12*16 in",
            "12\"x16\"",
        ];
        for text in sizes {
            let (width, height) = parse_pair(text, None).unwrap();
            assert_eq!((width.length, height.length), (Length::inches(12.0), Length::inches(16.0)), "{text}");
        }
        let (width, height) = parse_pair("30.5 x 40,6 cm", None).unwrap();
        assert_eq!((width.length, height.length), (Length::mm(305.0), Length::mm(406.0)));
        let (width, height) = parse_pair("12in x 305mm", None).unwrap();
        assert_eq!((width.unit, height.unit), (Unit::Inch, Unit::Millimetre));
        let (width, _) = parse_pair("11 15/16 x 16", Some(Unit::Inch)).unwrap();
        assert_eq!(width.length, Length::inches(11.9375));
    }

    #[test]
    fn a_list_shares_the_first_unit_it_states() {
        let list = parse_list("12, 12 1/16, 12in, 11-15/16, 17, 16 31/32", None).unwrap();
        assert_eq!(list.len(), 6);
        assert_eq!(list[3].length, Length::inches(11.9375));
        assert_eq!(
            parse_list("12,x", Some(Unit::Inch)).unwrap_err().to_string().split(' ').next(),
            Some("“x”")
        );
    }

    #[test]
    fn what_is_not_a_length_is_told_with_its_text() {
        for text in [
            "in",
            "twelve in",
            "12 furlongs",
            "1/0 in",
            "12 3 in",
            "1 2 3/4 in",
            "1 5/4 in",
            "1e9mm",
            "NaN mm",
            "0x10",
        ] {
            let error = Length::parse(text, Some(Unit::Inch)).unwrap_err();
            assert!(matches!(error, LengthError::NotALength { .. }), "{text}: {error}");
        }
        assert_eq!(
            Length::parse("12", None).unwrap_err().to_string(),
            "“12” has no unit. Write for example 12in, 12cm or 12mm."
        );
        for text in ["1,250 mm", "-12,500mm"] {
            assert_eq!(
                Length::parse(text, None).unwrap_err(),
                LengthError::TwoWays { text: text.to_owned() },
                "{text}"
            );
        }
        assert_eq!(mm("0,125 mm"), 0.125);
        assert_eq!(mm("1,25 mm"), 1.25);
        assert_eq!(mm("1,125 in"), 28.575);
        assert!(matches!(Length::parse("99999999999 mm", None), Err(LengthError::TooLarge { .. })));
        for text in ["", "  "] {
            assert_eq!(Length::parse(text, Some(Unit::Inch)), Err(LengthError::Empty));
            assert_eq!(parse_pair(text, None), Err(LengthError::EmptyPair));
        }
        assert_eq!(parse_pair(" x 16 in", None), Err(LengthError::Empty));
        assert_eq!(parse_list("12in,,12", None), Err(LengthError::Empty));
        assert!(matches!(parse_pair("12in", None), Err(LengthError::NotAPair { .. })));
        assert!(matches!(parse_pair("12in x wide", None), Err(LengthError::NotAPair { .. })));
        assert!(matches!(parse_pair("12 x 16", None), Err(LengthError::NoUnit { .. })));
        for text in ["16x0", "0 x 16", "16 x -20"] {
            assert_eq!(parse_pair(text, None), Err(LengthError::NotAPair { text: text.to_owned() }));
        }
    }

    proptest! {
        #[test]
        fn no_text_makes_the_reader_panic(text in ".{0,40}") {
            let _ = Length::parse(&text, None);
            let _ = parse_pair(&text, Some(Unit::Inch));
            let _ = parse_list(&text, None);
        }

        #[test]
        fn what_is_written_is_read_back(thousandths in -5_000_000_i32..5_000_000) {
            let length = Length::mm(f64::from(thousandths) / 1000.0);
            let read = Length::parse(&length.in_unit(Unit::Millimetre), None).unwrap().length;
            prop_assert!((read - length).abs() < Length::mm(1e-9));
        }

        #[test]
        fn every_sixty_fourth_is_read_exactly(whole in 0_u32..200, top in 1_u32..64) {
            let text = format!("{whole} {top}/64 in");
            let expected = (f64::from(whole) + f64::from(top) / 64.0) * 254.0 / 10.0;
            prop_assert_eq!(Length::parse(&text, None).unwrap().length.to_mm(), expected);
        }
    }
}
