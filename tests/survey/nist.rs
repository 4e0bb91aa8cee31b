//! The certified values of the NIST Statistical Reference Datasets, univariate summary statistics
//! (<https://www.itl.nist.gov/div898/strd/>): a work of the United States government, in the public domain. The data
//! files beside this one are as published, without their headings.

use modstate::metrology::statistics::{lag1_autocorrelation, mean, robust_deviation, standard_deviation};

struct Set {
    name: &'static str,
    data: &'static str,
    mean: f64,
    deviation: f64,
    lag1: f64,
    /// Decimal digits of the standard deviation that a two-pass algorithm keeps once the data are in `f64`.
    digits: f64,
}

const SETS: [Set; 8] = [
    Set {
        name: "Lew",
        data: include_str!("nist/lew.txt"),
        mean: -177.435,
        deviation: 277.332_168_044_316,
        lag1: -0.307_304_800_605_679,
        digits: 14.0,
    },
    Set {
        name: "Lottery",
        data: include_str!("nist/lottery.txt"),
        mean: 518.958_715_596_330,
        deviation: 291.699_727_470_969,
        lag1: -0.120_948_622_967_393,
        digits: 14.0,
    },
    Set {
        name: "Mavro",
        data: include_str!("nist/mavro.txt"),
        mean: 2.001_856,
        deviation: 0.000_429_123_454_003_053,
        lag1: 0.937_989_183_438_248,
        digits: 12.9,
    },
    Set {
        name: "Michelso",
        data: include_str!("nist/michelso.txt"),
        mean: 299.8524,
        deviation: 0.079_010_547_819_051_8,
        lag1: 0.535_199_668_621_283,
        digits: 13.7,
    },
    Set {
        name: "NumAcc1",
        data: include_str!("nist/numacc1.txt"),
        mean: 10_000_002.0,
        deviation: 1.0,
        lag1: -0.5,
        digits: 15.0,
    },
    Set {
        name: "NumAcc2",
        data: include_str!("nist/numacc2.txt"),
        mean: 1.2,
        deviation: 0.1,
        lag1: -0.999,
        digits: 14.0,
    },
    Set {
        name: "NumAcc3",
        data: include_str!("nist/numacc3.txt"),
        mean: 1_000_000.2,
        deviation: 0.1,
        lag1: -0.999,
        digits: 9.3,
    },
    Set {
        name: "NumAcc4",
        data: include_str!("nist/numacc4.txt"),
        mean: 10_000_000.2,
        deviation: 0.1,
        lag1: -0.999,
        digits: 8.1,
    },
];

fn digits(found: f64, certified: f64) -> f64 {
    let error = ((found - certified) / certified).abs();
    if error > 0.0 { -error.log10() } else { 16.0 }
}

#[test]
fn univariate_statistics_agree_with_the_certified_values() {
    for set in &SETS {
        let values: Vec<f64> = set.data.split_whitespace().map(|v| v.parse().expect("a number")).collect();
        let mean = mean(&values).expect("values");
        assert!(digits(mean, set.mean) >= 14.9, "{}: mean {mean}", set.name);
        let deviation = standard_deviation(&values).expect("values");
        assert!(digits(deviation, set.deviation) >= set.digits, "{}: deviation {deviation}", set.name);
        let lag1 = lag1_autocorrelation(&values).expect("values");
        assert!(digits(lag1, set.lag1) >= set.digits.min(13.0) - 0.5, "{}: lag 1 {lag1}", set.name);
    }
}

#[test]
fn the_robust_deviation_holds_on_the_michelson_data_with_two_in_five_spoilt() {
    let mut values: Vec<f64> =
        include_str!("nist/michelso.txt").split_whitespace().map(|v| v.parse().expect("a number")).collect();
    let clean = robust_deviation(&values).expect("values");
    assert!((clean / 0.079_01 - 1.0).abs() < 0.25, "{clean}");
    for v in values.iter_mut().step_by(5) {
        *v += 1e6;
    }
    for v in values.iter_mut().skip(1).step_by(5) {
        *v -= 1e6;
    }
    let spoilt = robust_deviation(&values).expect("values");
    assert!(spoilt < 4.0 * clean, "{spoilt} against {clean}");
}
