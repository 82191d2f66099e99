//! Rows of a replica's store.

use sponson_readiness::engine::Question;
use sponson_readiness::moment::Moment;
use sponson_replica::Replica;

use crate::county::{self, DAY, START, Who};
use crate::said::refused;

/// Rows of a county's store, replaced: each two bytes that say which row, two of length, and the
/// value, whose check sum is made right. No length, and the row is gone.
///
/// # Panics
/// When a store that opens cannot be asked, looked through or verified.
pub fn store_rows(data: &[u8]) {
    let disk = county::county_disk();
    let keys = disk.keys();
    let mut rest = data;
    while let Some((head, after)) = rest.split_first_chunk::<4>() {
        let [which_high, which_low, high, low] = *head;
        let which = usize::from(u16::from_be_bytes([which_high, which_low]));
        let length = usize::from(u16::from_be_bytes([high, low])).min(after.len());
        let (value, after) = after.split_at(length);
        rest = after;
        let Some(key) = keys.get(which % keys.len()) else {
            break;
        };
        let mut row = value.to_vec();
        row.extend(crc32c::crc32c(value).to_be_bytes());
        disk.put(key, (length > 0).then_some(&row));
    }
    match Replica::open_simulated(&disk, county::key(Who::Working)) {
        Ok(mut replica) => looked_through(&mut replica),
        Err(error) => refused(&error.to_string()),
    }
}

fn looked_through(replica: &mut Replica) {
    let moment = Moment(START + 3 * DAY);
    for line in replica.verify(&mut |_, _| {}).wrong {
        refused(&line);
    }
    let answer = replica.ask(&Question::general(moment, moment));
    assert!(answer.craft.len() <= 64);
    let _ = replica.catalogue();
    let page = replica.log_page(None, sponson_replica::Page::Newest, 100);
    if let Err(error) = page {
        refused(&error.to_string());
    }
    let _ = replica.entries(0, 64 * 1024, &|_| false);
    let _ = replica.scrub(100, moment.0);
}
