//! Masses: areas of one step that hang together. Thin slivers and small specks are given to what is around them, so
//! that masses read as masses.

use rayon::prelude::*;

/// The step of each working pixel, 0 for the darkest, row after row.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Numbers {
    pub(crate) width: usize,
    pub(crate) height: usize,
    pub(crate) data: Vec<u8>,
}

/// As many steps as there can be.
pub(crate) const MOST: usize = 9;

/// The most passes of joining small masses. Each joins masses to larger neighbours, which may change in the same pass; a
/// picture takes three or four, pure noise some dozens.
const PASSES: usize = 100;

impl Numbers {
    pub(crate) fn at(&self, column: usize, row: usize) -> u8 {
        self.data[row * self.width + column]
    }

    /// Each pixel takes the step that most pixels within `radius` of it have: slivers thinner than the radius, such as
    /// the steps between on a hard edge, go to what lies on either side.
    pub(crate) fn without_slivers(&self, radius: usize) -> Self {
        let (width, height) = (self.width, self.height);
        let mut data = self.data.clone();
        data.par_chunks_mut(width).enumerate().for_each(|(row, line)| {
            let rows = row.saturating_sub(radius)..(row + radius + 1).min(height);
            let mut count = [0_i32; MOST];
            let change = |column: usize, by: i32, count: &mut [i32; MOST]| {
                for row in rows.clone() {
                    count[self.at(column, row) as usize] += by;
                }
            };
            for column in 0..radius.min(width) {
                change(column, 1, &mut count);
            }
            for (column, number) in line.iter_mut().enumerate() {
                if column + radius < width {
                    change(column + radius, 1, &mut count);
                }
                if column > radius {
                    change(column - radius - 1, -1, &mut count);
                }
                // The pixel's own step holds against others that are no more frequent.
                let own = *number as usize;
                for (step, &pixels) in count.iter().enumerate() {
                    if pixels > count[*number as usize] && step != own {
                        *number = step as u8;
                    }
                }
            }
        });
        Self { data, ..*self }
    }

    /// Masses of fewer than `least` pixels take the step that they border on most, among neighbours larger than they.
    pub(crate) fn without_specks(mut self, least: usize) -> Self {
        for _ in 0..PASSES {
            let (mass_of, areas) = self.masses();
            if areas.iter().all(|area| *area >= least) {
                break;
            }
            let mut borders = vec![[0_u32; MOST]; areas.len()];
            let mut meet = |one: usize, other: usize| {
                let (here, there) = (mass_of[one] as usize, mass_of[other] as usize);
                if here != there {
                    for (mass, neighbour, at) in [(here, there, other), (there, here, one)] {
                        if (areas[neighbour], neighbour) > (areas[mass], mass) {
                            borders[mass][self.data[at] as usize] += 1;
                        }
                    }
                }
            };
            for row in 0..self.height {
                for column in 0..self.width {
                    let at = row * self.width + column;
                    if column > 0 {
                        meet(at - 1, at);
                    }
                    if row > 0 {
                        meet(at - self.width, at);
                    }
                }
            }
            let taken: Vec<Option<u8>> = areas
                .iter()
                .zip(&borders)
                .map(|(area, border)| {
                    let (step, length) = border.iter().enumerate().max_by_key(|(_, length)| **length)?;
                    (*area < least && *length > 0).then_some(step as u8)
                })
                .collect();
            for (number, mass) in self.data.iter_mut().zip(&mass_of) {
                if let Some(step) = taken[*mass as usize] {
                    *number = step;
                }
            }
        }
        self
    }

    /// The mass that each pixel belongs to, and each mass's area in pixels: connected components by their sides, with
    /// union and find over runs of one step (Rosenfeld and Pfaltz, Journal of the ACM 13, 1966).
    fn masses(&self) -> (Vec<u32>, Vec<usize>) {
        let mut parents: Vec<u32> = Vec::new();
        let mut mass_of = vec![0_u32; self.data.len()];
        for row in 0..self.height {
            for column in 0..self.width {
                let at = row * self.width + column;
                let number = self.data[at];
                let left = (column > 0 && self.data[at - 1] == number).then(|| mass_of[at - 1]);
                let above =
                    (row > 0 && self.data[at - self.width] == number).then(|| mass_of[at - self.width]);
                mass_of[at] = match (left, above) {
                    (Some(left), Some(above)) if left != above => {
                        let (left, above) = (root(&mut parents, left), root(&mut parents, above));
                        let (low, high) = (left.min(above), left.max(above));
                        parents[high as usize] = low;
                        low
                    }
                    (Some(mass), _) | (_, Some(mass)) => mass,
                    (None, None) => {
                        parents.push(parents.len() as u32);
                        parents.len() as u32 - 1
                    }
                };
            }
        }
        let mut numbers = vec![0_u32; parents.len()];
        let mut areas = Vec::new();
        for mass in 0..parents.len() as u32 {
            let root = root(&mut parents, mass);
            if root == mass {
                numbers[mass as usize] = areas.len() as u32;
                areas.push(0);
            } else {
                numbers[mass as usize] = numbers[root as usize];
            }
        }
        for mass in &mut mass_of {
            *mass = numbers[*mass as usize];
            areas[*mass as usize] += 1;
        }
        (mass_of, areas)
    }
}

fn root(parents: &mut [u32], mut mass: u32) -> u32 {
    while parents[mass as usize] != mass {
        parents[mass as usize] = parents[parents[mass as usize] as usize];
        mass = parents[mass as usize];
    }
    mass
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn numbers(picture: &[&str]) -> Numbers {
        let data = picture.iter().flat_map(|line| line.bytes().map(|digit| digit - b'0')).collect();
        Numbers { width: picture[0].len(), height: picture.len(), data }
    }

    #[test]
    fn a_speck_takes_the_step_it_borders_on_most_and_a_mass_stays() {
        let map = numbers(&["0000111", "0300111", "0000111", "0000111"]);
        assert_eq!(map.without_specks(2), numbers(&["0000111", "0000111", "0000111", "0000111"]));
        let map = numbers(&["00011", "00211", "00211", "00011"]);
        assert_eq!(map.clone().without_specks(2), map);
    }

    #[test]
    fn specks_that_lie_side_by_side_do_not_change_places_for_ever() {
        let map = numbers(&["0000000", "0012000", "0021000", "0000000"]);
        assert!(map.without_specks(3).data.iter().all(|number| *number == 0));
    }

    #[test]
    fn a_sliver_between_two_masses_goes_to_them_and_a_straight_edge_stays() {
        let map = numbers(&["0000001222222"; 9]);
        let clean = map.without_slivers(2);
        assert!(!clean.data.contains(&1));
        let edge = numbers(&["000000222222"; 9]);
        assert_eq!(edge.without_slivers(3), edge);
    }

    proptest! {
        #[test]
        fn masses_hang_together_and_their_areas_add_up(width in 1..12_usize, height in 1..12_usize, seed in prop::collection::vec(0..3_u8, 144)) {
            let map = Numbers { width, height, data: seed[..width * height].to_vec() };
            let (mass_of, areas) = map.masses();
            prop_assert_eq!(areas.iter().sum::<usize>(), width * height);
            for row in 0..height {
                for column in 1..width {
                    let at = row * width + column;
                    prop_assert_eq!(map.data[at] == map.data[at - 1], mass_of[at] == mass_of[at - 1] || (map.data[at] == map.data[at - 1]));
                    if map.data[at] == map.data[at - 1] {
                        prop_assert_eq!(mass_of[at], mass_of[at - 1]);
                    }
                }
            }
        }

        #[test]
        fn nothing_small_is_left_beside_something_larger(seed in prop::collection::vec(0..4_u8, 400)) {
            let map = Numbers { width: 20, height: 20, data: seed }.without_specks(6);
            let (_, areas) = map.masses();
            prop_assert!(areas.len() == 1 || areas.iter().all(|area| *area >= 6), "{:?}", areas);
        }
    }
}
