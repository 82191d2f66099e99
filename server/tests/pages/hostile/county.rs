//! A county and a station with pages, craft and gear, made to be filled.

use super::sheets::{self, With};
use super::told::Told;
use crate::world::{Caller, World};

/// A county that serves, and a station that serves its pages.
pub(super) struct County {
    pub(super) world: World,
    /// A lead at the county's pages.
    pub(super) lead: Caller,
    /// Somebody at the machine of the station.
    pub(super) crew: Caller,
    /// The id of Boat 3.
    pub(super) craft: String,
}

impl County {
    /// One with these texts in its files.
    pub(super) async fn up(told: &mut Told, with: With) -> Self {
        let mut world = World::founded().await;
        sheets::places(&world, with);
        sheets::adopt(&world, with).await;
        world.serve("127.0.0.1:0").await;
        for (sort, list) in [
            (
                "craft",
                "call sign,model,station,persons,total (lb),hp\n\
                 Boat 5,inflatable-14,North Landing,10,2600,40\n\
                 Boat 9,inflatable-14,North Landing,10,2200,40\n\
                 Boat 21,inflatable-14,North Landing,10,2200,40\n\
                 Boat 22,inflatable-14,North Landing,10,2200,40\n\
                 Boat 23,inflatable-14,North Landing,10,2200,40\n\
                 Boat 24,inflatable-14,North Landing,10,2200,40\n",
            ),
            (
                "gear",
                "number,type,station\nM3,motor,North Landing\nG1,gauge,North Landing\n",
            ),
            (
                "bags",
                "number,station\nB7,North Landing\nB9,North Landing\n",
            ),
        ] {
            let file = world.path(sort);
            std::fs::write(&file, list).expect("writes");
            let line = format!("bring-in --{sort} {}", file.display());
            world.county(&line).await;
        }
        let roles = "--role crew --role maintenance --role coordinator --role lead";
        let admit = format!("admit 'North Landing' {roles}");
        world.joined_with("station", &admit).await;
        let crew = world.station_up("M2").await;
        let lead = world.signed_in("M1", "lead").await;
        let craft = world.craft("Boat%203").await;
        told.page("a page", &lead.get("/").await.text);
        Self {
            world,
            lead,
            crew,
            craft,
        }
    }
}
