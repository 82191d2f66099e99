//! Checking a whole store.

use crate::county::{DAY, NORTH, START, craft_registered, found, join, north, sync};

#[test]
fn a_whole_store_has_nothing_wrong() {
    let mut county = found();
    let mut station = join(north());
    station.append(craft_registered("4-1", NORTH), START);
    sync(&mut station, &mut county, START + DAY);
    for replica in [&station.replica, &county.replica] {
        let mut told = Vec::new();
        let found = replica.verify(&mut |done, total| told.push((done, total)));
        assert_eq!(found.wrong, Vec::<String>::new());
        assert_eq!((found.events, found.chains, found.county_size), (8, 3, 8));
        assert_eq!(told.last(), Some(&(8, 8)));
    }
}
