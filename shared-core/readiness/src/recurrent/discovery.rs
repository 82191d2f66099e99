//! Many looked at, few called: p values adjusted so that of those called, only a share is chance.

/// Adjusted p values in the order of `p`: what is called at an adjusted 0.05 is wrong in 5 % of the
/// calls, on average, where the groups do not work against each other.
///
/// Source: Benjamini and Hochberg 1995. A p that is no number stays none, and is not counted.
#[must_use]
pub fn false_discovery(p: &[f64]) -> Vec<f64> {
    let mut order: Vec<(usize, f64)> = p.iter().copied().enumerate().collect();
    order.retain(|(_, p)| !p.is_nan());
    order.sort_by(|(_, one), (_, other)| other.total_cmp(one));
    let mut adjusted = vec![f64::NAN; p.len()];
    let all = f64::from(super::count(order.len()));
    let (mut rank, mut least) = (all, 1.0_f64);
    for (at, p) in order {
        least = least.min(p * all / rank);
        rank -= 1.0;
        if let Some(place) = adjusted.get_mut(at) {
            *place = least;
        }
    }
    adjusted
}
