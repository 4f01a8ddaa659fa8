//! The samples of the checks, and how near is near.

/// Sample A of the project's handbook: ten days of spring, without ties.
pub(super) const A: [f64; 10] = [
    83.0, 91.0, 95.0, 98.0, 99.0, 102.0, 104.0, 107.0, 110.0, 118.0,
];

/// Sample B of the project's handbook: twelve days of autumn, with ties.
pub(super) const AUTUMN: [f64; 12] = [
    301.0, 309.0, 309.0, 315.0, 318.0, 322.0, 322.0, 322.0, 327.0, 331.0, 336.0, 340.0,
];

/// The series of the project's handbook, §6: year and day; 2002 and 2009 are missing.
pub(super) const TREND: [(f64, f64); 15] = [
    (1995.0, 104.0),
    (1996.0, 110.0),
    (1997.0, 99.0),
    (1998.0, 99.0),
    (1999.0, 107.0),
    (2000.0, 95.0),
    (2001.0, 102.0),
    (2003.0, 99.0),
    (2004.0, 90.0),
    (2005.0, 104.0),
    (2006.0, 93.0),
    (2007.0, 88.0),
    (2008.0, 95.0),
    (2010.0, 91.0),
    (2011.0, 86.0),
];

/// Ball bearings, 10⁶ revolutions: Lieblein & Zelen 1956, J. Res. NBS 57(5), RP 2719. Copies with 48.40 or 48.80 for
/// 48.48 and 68.44 for 68.64 go round.
pub(super) const BEARINGS: [f64; 23] = [
    17.88, 28.92, 33.0, 41.52, 42.12, 45.6, 48.48, 51.84, 51.96, 54.12, 55.56, 67.8, 68.64, 68.64,
    68.88, 84.12, 93.12, 98.64, 105.12, 105.84, 127.92, 128.04, 173.4,
];

/// Window strength: Fuller et al. 1993, NIST FULLER2.
pub(super) const WINDOWS: [f64; 31] = [
    18.83, 20.8, 21.657, 23.03, 23.23, 24.05, 24.321, 25.5, 25.52, 25.8, 26.69, 26.77, 26.78,
    27.05, 27.67, 29.9, 31.11, 33.2, 33.73, 33.76, 33.89, 34.76, 35.75, 35.91, 36.98, 37.08, 37.09,
    39.58, 44.045, 45.29, 45.381,
];

/// Year and day of the last freeze at or below 32 °F in spring, Milwaukee: GHCN-Daily USW00014839, whole °F, counted
/// outside the project.
pub(super) const MILWAUKEE: [(f64, f64); 88] = [
    (1939.0, 123.0),
    (1940.0, 124.0),
    (1941.0, 115.0),
    (1942.0, 103.0),
    (1943.0, 121.0),
    (1944.0, 109.0),
    (1945.0, 129.0),
    (1946.0, 117.0),
    (1947.0, 130.0),
    (1948.0, 128.0),
    (1949.0, 115.0),
    (1950.0, 111.0),
    (1951.0, 110.0),
    (1952.0, 102.0),
    (1953.0, 111.0),
    (1954.0, 127.0),
    (1955.0, 97.0),
    (1956.0, 120.0),
    (1957.0, 125.0),
    (1958.0, 119.0),
    (1959.0, 112.0),
    (1960.0, 133.0),
    (1961.0, 147.0),
    (1962.0, 110.0),
    (1963.0, 143.0),
    (1964.0, 105.0),
    (1965.0, 117.0),
    (1966.0, 132.0),
    (1967.0, 126.0),
    (1968.0, 126.0),
    (1969.0, 120.0),
    (1970.0, 127.0),
    (1971.0, 124.0),
    (1972.0, 116.0),
    (1973.0, 125.0),
    (1974.0, 130.0),
    (1975.0, 111.0),
    (1976.0, 118.0),
    (1977.0, 119.0),
    (1978.0, 123.0),
    (1979.0, 107.0),
    (1980.0, 116.0),
    (1981.0, 111.0),
    (1982.0, 118.0),
    (1983.0, 137.0),
    (1984.0, 98.0),
    (1985.0, 100.0),
    (1986.0, 113.0),
    (1987.0, 94.0),
    (1988.0, 111.0),
    (1989.0, 127.0),
    (1990.0, 108.0),
    (1991.0, 101.0),
    (1992.0, 118.0),
    (1993.0, 111.0),
    (1994.0, 120.0),
    (1995.0, 99.0),
    (1996.0, 133.0),
    (1997.0, 136.0),
    (1998.0, 100.0),
    (1999.0, 115.0),
    (2000.0, 102.0),
    (2001.0, 108.0),
    (2002.0, 124.0),
    (2003.0, 114.0),
    (2004.0, 123.0),
    (2005.0, 119.0),
    (2006.0, 99.0),
    (2007.0, 105.0),
    (2008.0, 120.0),
    (2009.0, 112.0),
    (2010.0, 118.0),
    (2011.0, 108.0),
    (2012.0, 102.0),
    (2013.0, 111.0),
    (2014.0, 106.0),
    (2015.0, 114.0),
    (2016.0, 102.0),
    (2017.0, 88.0),
    (2018.0, 119.0),
    (2019.0, 118.0),
    (2020.0, 129.0),
    (2021.0, 112.0),
    (2022.0, 117.0),
    (2023.0, 107.0),
    (2024.0, 115.0),
    (2025.0, 102.0),
    (2026.0, 110.0),
];

/// Day of the last freeze at or below 28 °F in spring, Suffolk, of the 13 of 31 years that have one: counted outside
/// the project.
pub(super) const SUFFOLK: [f64; 13] = [
    45.0, 3.0, 52.0, 53.0, 10.0, 33.0, 62.0, 61.0, 38.0, 42.0, 66.0, 43.0, 60.0,
];

/// `values` in ascending order.
pub(super) fn sorted(values: &[f64]) -> Vec<f64> {
    let mut ascending = values.to_vec();
    ascending.sort_by(f64::total_cmp);
    ascending
}

/// Numbers from 0 to 1 that look random, by Knuth's linear congruential generator; for samples of the checks only.
pub(super) fn scattered(seed: u64) -> impl Iterator<Item = f64> {
    let next = |state: &u64| {
        let multiplied = state.wrapping_mul(6_364_136_223_846_793_005);
        Some(multiplied.wrapping_add(1_442_695_040_888_963_407))
    };
    let shares = core::iter::successors(Some(seed), next).skip(1);
    shares.map(|state| ((state >> 11) as f64 + 0.5) / (1_u64 << 53) as f64)
}

/// Fails unless the two lie within `tolerance` of each other.
pub(super) fn assert_near(computed: f64, expected: f64, tolerance: f64) {
    assert!(
        (computed - expected).abs() <= tolerance,
        "computed {computed}, expected {expected}, tolerance {tolerance}"
    );
}

/// Fails unless the two agree to a share of the expected value.
pub(super) fn assert_close(computed: f64, expected: f64, share: f64) {
    assert_near(computed, expected, share * expected.abs());
}
