//! The sizes canvases are sold in: North American inch sizes, metric sizes, and the French figure, landscape and marine numbers.

use super::Size;
use crate::length::{Length, Unit};

/// A size that canvases are sold in, upright (the short side is the width).
#[derive(Clone, Debug, PartialEq)]
pub struct StandardSize {
    /// The name it is asked for by: `16 × 20 in`, `40 × 50 cm`, `15 Figure`.
    pub name: String,
    /// Its size, upright.
    pub size: Size,
    /// The unit in which its series is sold.
    pub unit: Unit,
}

/// Every standard size: inch sizes, metric sizes, then the French ones, each series from small to large.
pub fn standard_sizes() -> Vec<StandardSize> {
    let inch = INCH_SIZES.iter().map(|&(short, long)| StandardSize {
        name: format!("{short} × {long} in"),
        size: Size { width: Length::inches(f64::from(short)), height: Length::inches(f64::from(long)) },
        unit: Unit::Inch,
    });
    let metric = METRIC_SIZES.iter().map(|&(short, long)| StandardSize {
        name: format!("{short} × {long} cm"),
        size: Size { width: Length::cm(f64::from(short)), height: Length::cm(f64::from(long)) },
        unit: Unit::Centimetre,
    });
    let french = ["Figure", "Landscape", "Marine"].into_iter().enumerate().flat_map(|(series, name)| {
        FRENCH_SIZES.iter().map(move |(number, long, shorts)| StandardSize {
            name: format!("{number} {name}"),
            size: Size { width: Length::cm(f64::from(shorts[series])), height: Length::cm(f64::from(*long)) },
            unit: Unit::Centimetre,
        })
    });
    inch.chain(metric).chain(french).collect()
}

/// Inch sizes in stock with North American dealers, short side first (common practice, no single source).
const INCH_SIZES: [(u8, u8); 28] = [
    (5, 7),
    (6, 6),
    (6, 8),
    (8, 8),
    (8, 10),
    (9, 12),
    (10, 10),
    (10, 20),
    (11, 14),
    (12, 12),
    (12, 16),
    (12, 24),
    (14, 18),
    (16, 20),
    (18, 24),
    (20, 20),
    (20, 24),
    (22, 28),
    (24, 24),
    (24, 30),
    (24, 36),
    (30, 30),
    (30, 40),
    (36, 36),
    (36, 48),
    (40, 60),
    (48, 60),
    (48, 72),
];

/// Metric sizes in stock with dealers on the European continent, in cm, short side first (common practice, no source).
const METRIC_SIZES: [(u8, u8); 28] = [
    (10, 10),
    (13, 18),
    (18, 24),
    (20, 20),
    (20, 30),
    (24, 30),
    (30, 30),
    (30, 40),
    (30, 60),
    (40, 40),
    (40, 50),
    (40, 60),
    (40, 80),
    (50, 50),
    (50, 60),
    (50, 70),
    (60, 60),
    (60, 80),
    (60, 90),
    (70, 90),
    (70, 100),
    (80, 80),
    (80, 100),
    (80, 120),
    (90, 120),
    (100, 100),
    (100, 120),
    (100, 150),
];

/// The French sizes in cm: number, long side, and the short sides of figure, paysage (landscape) and marine
/// ("French standard sizes for oil paintings", as printed in two encyclopaedias that agree).
const FRENCH_SIZES: [(u8, u8, [u8; 3]); 20] = [
    (0, 18, [14, 12, 10]),
    (1, 22, [16, 14, 12]),
    (2, 24, [19, 16, 14]),
    (3, 27, [22, 19, 16]),
    (4, 33, [24, 22, 19]),
    (5, 35, [27, 24, 22]),
    (6, 41, [33, 27, 24]),
    (8, 46, [38, 33, 27]),
    (10, 55, [46, 38, 33]),
    (12, 61, [50, 46, 38]),
    (15, 65, [54, 50, 46]),
    (20, 73, [60, 54, 50]),
    (25, 81, [65, 60, 54]),
    (30, 92, [73, 65, 60]),
    (40, 100, [81, 73, 65]),
    (50, 116, [89, 81, 73]),
    (60, 130, [97, 89, 81]),
    (80, 146, [114, 97, 89]),
    (100, 162, [130, 114, 97]),
    (120, 195, [130, 114, 97]),
];

#[cfg(test)]
mod tests {
    use super::*;

    /// The rule of the French series: a number's landscape takes the short side of the figure before it, its marine
    /// that of the figure before that. It holds up to figure 60.
    #[test]
    fn the_french_short_sides_follow_their_rule() {
        for rows in FRENCH_SIZES.windows(2).filter(|rows| rows[1].0 <= 60) {
            assert_eq!(rows[1].2[1], rows[0].2[0], "landscape {}", rows[1].0);
            assert_eq!(rows[1].2[2], rows[0].2[1], "marine {}", rows[1].0);
        }
    }

    /// A size is found by its sides, and a name of one series must not hide that of another.
    #[test]
    fn no_metric_size_is_an_inch_size_or_a_french_one() {
        let sizes = standard_sizes();
        let (metric, others): (Vec<_>, Vec<_>) = sizes.iter().partition(|one| one.name.ends_with(" cm"));
        assert_eq!(metric.len(), METRIC_SIZES.len());
        assert!(metric.iter().all(|one| others.iter().all(|other| other.size != one.size)));
    }

    #[test]
    fn every_standard_size_stands_upright_and_is_named_once() {
        let sizes = standard_sizes();
        assert!(sizes.iter().all(|standard| standard.size.width <= standard.size.height));
        let mut names: Vec<_> = sizes.iter().map(|standard| &standard.name).collect();
        names.sort();
        names.dedup();
        assert_eq!(names.len(), sizes.len());
    }
}
