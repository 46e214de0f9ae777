//! How cloths of one photograph differ from one of them: once as if the same dyes were in both, once as if others were.
//!
//! Which of the two holds, only the maker knows. Left out: whether the difference passes, which `compare` says of readings.

use colour::{Lab, ciede2000};
use picture::{Calibration, ClothDifference, ClothSample, Kin, PhotoRefusal};
use serde::Serialize;

use crate::photo_asked::parted;
use crate::shown::rounded;

/// How one cloth differs from the one it is held against.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DifferenceRead {
    /// The cloth's number.
    pub cloth: usize,
    /// Where the same dyes are in both.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub same_dyes: Option<ApartRead>,
    /// Where other dyes, or another fibre, are in it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub other_dyes: Option<ApartRead>,
    /// Why it is not read.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub refused: Option<String>,
    /// What to do about it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub help: Option<String>,
}

/// A difference.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ApartRead {
    /// L*, a*, b* of the cloth less those of the one it is held against, D65 and 10°.
    pub by: [f64; 3],
    /// Its size, ΔE00.
    pub de00: f64,
    /// Nine of ten true differences lie within this ΔE00 of it.
    pub spread90: f64,
    /// In words.
    pub words: String,
}

/// Every cloth against the first, which was taken once, or twice with the others between.
pub(crate) fn differences(
    calibration: &Calibration,
    cloths: &[Result<ClothSample, PhotoRefusal>],
    against: &[Result<ClothSample, PhotoRefusal>],
) -> Vec<DifferenceRead> {
    if against.is_empty() {
        return vec![];
    }
    let one = |(n, cloth): (usize, &Result<ClothSample, PhotoRefusal>)| {
        let number = n + 1;
        match (
            apart(calibration, cloth, against, Kin::SameDyes),
            apart(calibration, cloth, against, Kin::OtherDyes),
        ) {
            (Ok(same), Ok(other)) => DifferenceRead {
                cloth: number,
                same_dyes: Some(told(&same)),
                other_dyes: Some(told(&other)),
                refused: None,
                help: None,
            },
            (Err(why), _) | (_, Err(why)) => {
                let (says, help) = parted(&why);
                DifferenceRead {
                    cloth: number,
                    same_dyes: None,
                    other_dyes: None,
                    refused: Some(says),
                    help: Some(help),
                }
            }
        }
    };
    cloths.iter().enumerate().map(one).collect()
}

fn apart(
    calibration: &Calibration,
    cloth: &Result<ClothSample, PhotoRefusal>,
    against: &[Result<ClothSample, PhotoRefusal>],
    kin: Kin,
) -> Result<ClothDifference, PhotoRefusal> {
    let second = cloth.as_ref().map_err(Clone::clone)?.sample.seen();
    let mut first = vec![];
    for place in against {
        first.push(place.as_ref().map_err(Clone::clone)?.sample.seen());
    }
    Ok(calibration.try_difference(&first, &second, kin)?)
}

fn told(seen: &ClothDifference) -> ApartRead {
    let [l, a, b] = seen.by;
    let second = Lab::new(seen.first.l + l, seen.first.a + a, seen.first.b + b);
    let de00 = ciede2000(seen.first, second);
    ApartRead {
        by: seen.by.map(|v| rounded(v, 1)),
        de00: rounded(de00, 1),
        spread90: rounded(seen.within90, 1).max(0.1),
        words: words(seen.by, de00, seen.within90),
    }
}

/// Which way it goes, the largest part first; nothing where the photograph cannot tell.
fn words(by: [f64; 3], de00: f64, within90: f64) -> String {
    if de00 <= within90 {
        return "no difference that this photograph can show".to_owned();
    }
    let ways = [["lighter", "darker"], ["redder", "greener"], ["yellower", "bluer"]];
    let mut parts: Vec<(f64, &str)> = by
        .iter()
        .zip(ways)
        .map(|(v, [more, less])| (v.abs(), if *v > 0.0 { more } else { less }))
        .collect();
    parts.sort_by(|a, b| b.0.total_cmp(&a.0));
    let largest = parts[0].0;
    let kept: Vec<&str> =
        parts.iter().filter(|(size, _)| *size > 0.35 * largest).map(|(_, word)| *word).collect();
    kept.join(", ")
}

#[cfg(test)]
mod tests {
    use super::words;

    #[test]
    fn words_go_by_size_and_small_ones_say_nothing() {
        assert_eq!(words([-3.0, 0.2, 1.5], 3.0, 0.6), "darker, yellower");
        assert_eq!(words([0.1, -2.0, 0.0], 1.5, 0.6), "greener");
        assert!(words([0.3, 0.0, 0.0], 0.2, 0.6).starts_with("no difference"));
    }
}
