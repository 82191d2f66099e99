//! Texts that mean harm, put into every field, and every output looked at afterwards.
//!
//! `SPONSON_SEED` chooses which texts are tried where, `SPONSON_LONG` tries all of them everywhere.
//! A field refuses or takes a text as it likes; what is held here is that none becomes more than a
//! text in any output, and that a refusal is said in words.

mod by_device;
mod county;
mod fields;
mod fill;
mod sheets;
mod shown;
mod texts;
mod told;
mod walk;

use county::County;
use sheets::With;
use sponson_client::tracing_setup;
use told::Told;

use crate::world::Written;

/// What this process logs from here on, as the programs write it.
fn logged() -> Written {
    let logs = Written::default();
    let writer = logs.clone();
    let filter = "sponson=debug,sponson_link=debug,sponson_server=debug,sponson_client=debug";
    let logs_to = tracing_setup::logs(filter.into(), move || writer.clone());
    tracing::subscriber::set_global_default(logs_to).expect("nobody else listens");
    logs
}

/// Which texts are tried where, when nobody says.
const SEED: usize = 1;

#[tokio::test]
async fn no_text_becomes_more_than_a_text() {
    let plain = {
        let mut told = Told::collecting();
        let county = County::up(&mut told, With::Harmless).await;
        fill::with_harmless(&county, &mut told).await;
        walk::all(&county, &mut told).await;
        told.shapes()
    };
    let seed = std::env::var("SPONSON_SEED").ok();
    let seed = seed.map_or(SEED, |text| text.parse().expect("SPONSON_SEED is a number"));
    let all = std::env::var_os("SPONSON_LONG").is_some();
    let mut told = Told::holding_against(plain);
    let logs = logged();
    let county = County::up(&mut told, With::Hostile).await;
    fill::with_hostile(&county, &mut told, seed, all).await;
    by_device::append(&county, &mut told, seed, all).await;
    walk::all(&county, &mut told).await;
    told.logged(&logs.text());
    told.end(&format!(
        "SPONSON_SEED={seed} cargo test -p sponson-server --test pages hostile"
    ));
}
