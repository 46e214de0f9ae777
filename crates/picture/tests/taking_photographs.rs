//! A chart in rendered photographs: found any way round, sampled, and refused where the photograph is bad.

use std::error::Error;

use colour::Bands;
use picture::{Asked, ChartKind, ClothPlace, PhotoRefusal, Picture, Taken};
use proptest::prelude::*;
use scenes::{Chance, Layout, NoChart, PhotoFault, Scene, made_up, png_of};

type Check = Result<(), Box<dyn Error>>;

fn scene(seed: u64) -> Scene {
    let mut chance = Chance::of(seed);
    let chart = ChartKind::classic();
    let cloth = made_up(&mut chance).into_iter().collect();
    let mut layout = Layout::careful(chart.patches(), chart.across(), cloth);
    layout.side = [640, 700];
    layout.scene(&mut chance)
}

fn picture(scene: &Scene) -> Result<Picture, Box<dyn Error>> {
    Ok(Picture::try_read(&scene.photograph(&mut Chance::of(9)).jpeg()?)?)
}

fn cloth(scene: &Scene) -> ClothPlace {
    ClothPlace::Corners(scene.cloth_corners(0, 0.85).expect("every scene here has a cloth"))
}

fn take(scene: &Scene) -> Result<Taken, PhotoRefusal> {
    let cloths = [cloth(scene)];
    let asked = Asked { chart: ChartKind::classic(), corners: None, cloths: &cloths, paper: None };
    picture(scene).expect("a scene is encoded and read").take(&asked)
}

/// Distance of the farthest patch's middle from where it is, in pitches.
fn off(scene: &Scene, found: &picture::FoundChart) -> f64 {
    let patches = scene.laid.patches.clone().expect("every scene here has a chart");
    patches
        .enumerate()
        .map(|(n, thing)| {
            let (a, b) = (scene.view.pixel(scene.things[thing].middle), found.middle(n));
            (a[0] - b[0]).hypot(a[1] - b[1]) / found.pitch()
        })
        .fold(0.0, f64::max)
}

#[test]
fn a_chart_is_found_any_way_round_and_the_same_at_its_corners() -> Check {
    for seed in 0..3 {
        let scene = scene(seed);
        let picture = picture(&scene)?;
        let found = picture.find_chart(ChartKind::classic())?;
        assert!(off(&scene, &found) < 0.1, "seed {seed}: {}", off(&scene, &found));
        let corners = scene.chart_corners().ok_or("no corners")?;
        for turn in 0..4 {
            let mut given: [[f64; 2]; 4] = std::array::from_fn(|k| corners[(k + turn) % 4]);
            let at = picture.chart_at(ChartKind::classic(), given)?;
            assert!(off(&scene, &at) < 0.15, "seed {seed}, from corner {turn}");
            if turn == 1 {
                given.reverse();
                let at = picture.chart_at(ChartKind::classic(), given)?;
                assert!(off(&scene, &at) < 0.15, "seed {seed}, the other way round");
            }
        }
        let crossed = [corners[0], corners[2], corners[1], corners[3]];
        assert_eq!(picture.chart_at(ChartKind::classic(), crossed), Err(PhotoRefusal::Corners));
    }
    Ok(())
}

#[test]
fn a_mirrored_chart_is_refused() -> Check {
    let photo = scene(1).photograph(&mut Chance::of(2));
    let mut rgb = Vec::with_capacity(photo.rgb.len());
    for row in photo.rgb.chunks_exact(3 * photo.width) {
        rgb.extend(row.chunks_exact(3).rev().flatten());
    }
    let picture = Picture::try_read(&png_of(photo.width, photo.height, &rgb)?)?;
    assert_eq!(picture.find_chart(ChartKind::classic()), Err(PhotoRefusal::Mirrored));
    Ok(())
}

#[test]
fn nothing_is_found_where_there_is_no_chart() -> Check {
    for (seed, kind) in (0..5).zip(NoChart::ALL) {
        let mut chance = Chance::of(seed);
        let found = picture(&kind.scene(&mut chance))?.find_chart(ChartKind::classic());
        let none = matches!(found, Err(PhotoRefusal::NoChart | PhotoRefusal::OtherColours { .. }));
        assert!(none, "{kind:?}, seed {seed}: {found:?}");
    }
    Ok(())
}

#[test]
fn a_sound_photograph_gives_patches_and_cloth_as_they_are() -> Check {
    let mut scene = scene(3);
    scene.processing.vivid = 0.0;
    scene.processing.s_curve = 0.0;
    let taken = take(&scene)?;
    assert_eq!(taken.patches.len(), 24);
    let cloth = taken.cloths[0].as_ref().map_err(Clone::clone)?;
    assert!(cloth.sample.pixels > 400 && cloth.sample.clipped == 0.0);
    // What the camera saw of the grey patches and of the cloth, up to the light at each place.
    let seen = |bands: &Bands| scene.eye.sees(bands)[0];
    let greys: Vec<f64> = (18..24)
        .map(|n| taken.patches[n].rgb[1] / seen(&ChartKind::classic().patches()[n])[1])
        .collect();
    let middle = greys.iter().sum::<f64>() / 6.0;
    assert!(greys.iter().all(|g| (g / middle - 1.0).abs() < 0.2), "{greys:?}");
    let wanted = seen(scene.cloth(0).ok_or("no cloth")?);
    for (c, wanted) in wanted.into_iter().enumerate() {
        let gain = scene.processing.gains[c] / scene.processing.gains[1];
        let ratio = cloth.sample.rgb[c] / (wanted * middle * gain);
        assert!((ratio - 1.0).abs() < 0.25, "channel {c}: {ratio}");
    }
    Ok(())
}

#[test]
fn faults_are_refused_in_their_own_words() -> Check {
    let sound = scene(4);
    let judged = take(&sound)?;
    assert!(judged.cloths[0].is_ok(), "{:?}", judged.cloths);
    for (fault, strength, says) in [
        (PhotoFault::Clipped, 0.8, "less exposure"),
        (PhotoFault::Blur, 0.38, "blurred"),
        (PhotoFault::Cut, 0.2, "cut off"),
    ] {
        let bad = fault.upon(&sound, strength, &mut Chance::of(5));
        let why = take(&bad).err().ok_or(format!("{fault:?} was not refused"))?.to_string();
        assert!(why.contains(says), "{fault:?}: {why}");
    }
    for fault in
        [PhotoFault::TwoLights, PhotoFault::WrongChart, PhotoFault::GlareChart, PhotoFault::Steep]
    {
        let bad = fault.upon(&sound, 1.0, &mut Chance::of(5));
        let taken = take(&bad);
        assert!(
            taken.is_err() || taken.is_ok_and(|t| t.cloths[0].is_err()),
            "{fault:?} was not refused"
        );
    }
    Ok(())
}

#[test]
fn a_place_that_is_not_in_the_picture_is_refused_for_itself() -> Check {
    let scene = scene(4);
    let asked_of = |region| {
        let cloths = [region, cloth(&scene)];
        let asked =
            Asked { chart: ChartKind::classic(), corners: None, cloths: &cloths, paper: None };
        picture(&scene)?.take(&asked).map(|t| t.cloths).map_err(Box::<dyn Error>::from)
    };
    for region in [
        ClothPlace::rectangle([-50.0, 0.0, 40.0, 40.0]),
        ClothPlace::rectangle([0.0, 0.0, 9.0, 9.0]),
        ClothPlace::rectangle([f64::NAN, 0.0, 90.0, 90.0]),
        ClothPlace::Beside([2.0, 2.0, 2.0, 3.0]),
        ClothPlace::Beside([500.0, 2.0, 510.0, 3.0]),
    ] {
        let cloths = asked_of(region)?;
        assert_eq!(cloths[0], Err(PhotoRefusal::ClothOutside), "{region:?}");
        assert!(cloths[1].is_ok());
    }
    Ok(())
}

#[test]
fn a_place_on_the_chart_is_refused_for_itself() -> Check {
    let scene = scene(4);
    let corners = scene.chart_corners().ok_or("no corners")?;
    let middle = [0, 1].map(|k| corners.iter().map(|c| c[k]).sum::<f64>() / 4.0);
    let on = corners.map(|c| [0, 1].map(|k| middle[k] + 0.3 * (c[k] - middle[k])));
    let cloths = [ClothPlace::Corners(on), cloth(&scene)];
    let asked = Asked { chart: ChartKind::classic(), corners: None, cloths: &cloths, paper: None };
    let taken = picture(&scene)?.take(&asked)?;
    assert_eq!(taken.cloths[0], Err(PhotoRefusal::ClothOnChart));
    assert!(taken.cloths[1].is_ok());
    Ok(())
}

#[test]
fn grey_and_small_pictures_are_called_so() -> Check {
    let scene = scene(4);
    let photo = scene.photograph(&mut Chance::of(9));
    let grey: Vec<u8> = photo.rgb.chunks_exact(3).flat_map(|p| [p[1]; 3]).collect();
    let picture = Picture::try_read(&png_of(photo.width, photo.height, &grey)?)?;
    assert_eq!(picture.find_chart(ChartKind::classic()), Err(PhotoRefusal::Grey));
    // Each pixel the mean of four by four.
    let (w, h) = (photo.width / 4, photo.height / 4);
    let mut small = Vec::with_capacity(3 * w * h);
    for (y, x, c) in (0..h).flat_map(|y| (0..w).flat_map(move |x| (0..3).map(move |c| (y, x, c)))) {
        let of = |k: usize| photo.rgb[3 * ((4 * y + k / 4) * photo.width + 4 * x + k % 4) + c];
        let sum: u32 = (0..16).map(|k| u32::from(of(k))).sum();
        small.push(u8::try_from(sum / 16)?);
    }
    let picture = Picture::try_read(&png_of(w, h, &small)?)?;
    let corners = scene.chart_corners().map(|all| all.map(|c| c.map(|v| v / 4.0)));
    let asked = Asked { chart: ChartKind::classic(), corners, cloths: &[], paper: None };
    let taken = picture.take(&asked).map(|_| ());
    assert!(matches!(taken, Err(PhotoRefusal::Small { .. })), "{taken:?}");
    Ok(())
}

#[test]
fn an_edge_of_shadow_between_chart_and_cloth_is_told() -> Check {
    let (mut seen, mut alarms) = (0, 0);
    for seed in 0..6 {
        let mut chance = Chance::of(seed);
        let chart = ChartKind::classic();
        let cloths = made_up(&mut chance).into_iter().collect();
        let mut layout = Layout::careful(chart.patches(), chart.across(), cloths);
        (layout.side, layout.away) = ([900, 900], [0.6, 1.2]);
        let sound = layout.scene(&mut chance);
        let mut shadow = PhotoFault::ShadowBetween.upon(&sound, 0.4, &mut Chance::of(5));
        // What lies there is of one surface: rough wood may hide it.
        shadow.things[0].texture = scenes::Texture::Smooth;
        let told = |scene: &Scene| -> Result<Option<f64>, Box<dyn Error>> {
            let places = [cloth(scene)];
            let asked = Asked { chart, corners: None, cloths: &places, paper: None };
            let taken = picture(scene)?.take_unjudged(&asked)?;
            Ok(taken.cloths[0].as_ref().map_err(Clone::clone)?.edge_between)
        };
        alarms += usize::from(told(&sound)?.is_some());
        if let Some(ratio) = told(&shadow)? {
            seen += 1;
            let takes = shadow.lit.shadow.ok_or("no shadow")?.takes;
            let told = ratio.exp().min((-ratio).exp());
            assert!((told - (1.0 - takes)).abs() < 0.1, "seed {seed}: {told} of {takes}");
        }
    }
    assert!(seen >= 4 && alarms == 0, "{seen} of 6 seen, {alarms} false");
    Ok(())
}

#[test]
fn white_paper_must_be_of_the_same_size_and_takes_the_slope_out() -> Check {
    let mut scene = scene(4);
    scene.lit.slope = [0.5, 0.3];
    scene.processing.exposure = 0.6;
    let asked =
        Asked { chart: ChartKind::classic(), corners: None, cloths: &[cloth(&scene)], paper: None };
    let with_chart = picture(&scene)?;
    let paper = picture(&scene.of_paper(Bands::flat(0.88)?))?;
    let flat = with_chart.take_unjudged(&Asked { paper: Some(&paper), ..asked })?;
    let plain = with_chart.take_unjudged(&asked)?;
    let most = |t: &Taken| t.signs.slope.iter().flatten().fold(0.0, |a: f64, b| a.max(b.abs()));
    assert!(most(&flat) < 0.04 && most(&plain) > 0.06, "{} {}", most(&flat), most(&plain));
    let other = Picture::try_read(&png_of(16, 16, &[200; 768])?)?;
    let refused = with_chart.take(&Asked { paper: Some(&other), ..asked });
    assert_eq!(refused.map(|_| ()), Err(PhotoRefusal::PaperSize));
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, failure_persistence: None, ..ProptestConfig::default() })]
    /// Any picture at all: a chart or a refusal, never a panic.
    #[test]
    fn no_picture_panics(width in 8_usize..90, height in 8_usize..90, seed: u64, block in 1_usize..12, corners: [[f64; 2]; 4]) {
        let mut chance = Chance::of(seed);
        let colours: Vec<[u8; 3]> = (0..400).map(|_| chance.bits().to_le_bytes()).map(|b| [b[0], b[1], b[2]]).collect();
        let rgb: Vec<u8> = (0..width * height).flat_map(|n| colours[(n % width / block * 17 + n / width / block) % 400]).collect();
        let picture = png_of(width, height, &rgb).ok().and_then(|png| Picture::try_read(&png).ok());
        let picture = picture.ok_or_else(|| TestCaseError::fail("not encoded"))?;
        prop_assert!(picture.find_chart(ChartKind::classic()).is_err());
        let _ = picture.chart_at(ChartKind::classic(), corners);
        let inside = [[1.0, 1.0], [7.0, 1.0], [7.0, 7.0], [1.0, 7.0]];
        let asked = Asked { chart: ChartKind::classic(), corners: Some(inside), cloths: &[ClothPlace::Corners(corners)], paper: None };
        let _ = picture.take_unjudged(&asked);
    }
}
