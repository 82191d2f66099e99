//! Files that are given to the local service.

use sponson_link::limits::CARRY_BYTES_MAX;
use sponson_log::carry::MAGIC;
use sponson_proto::service::v1 as service;

use super::held;
use crate::world::{County, Station, limited};

#[tokio::test]
async fn a_picture_and_a_carry_file() {
    limited(async {
        let county = County::found(6).await;
        let station = Station::join(&county, "North", 16).await;
        let local = station.local().await;
        let picture = |bytes: usize| {
            let mut content = vec![0xff, 0xd8, 0xff];
            content.resize(bytes, 7);
            let request = service::KeepPictureRequest {
                content: content.into(),
            };
            let mut client = local.client();
            async move { client.keep_picture(request).await }
        };
        held(
            picture(1_000_000).await,
            picture(1_000_001).await,
            "1000000",
        );
        let carried = |bytes: usize| {
            const PIECE: usize = 32 * 1024 * 1024;
            let mut begun = MAGIC.to_vec();
            begun.resize(PIECE.min(bytes), 0);
            let pieces = (0..bytes.div_ceil(PIECE)).map(move |at| {
                let data = if at == 0 {
                    begun.clone()
                } else {
                    vec![0; PIECE.min(bytes - at * PIECE)]
                };
                service::CarryInRequest { data: data.into() }
            });
            let mut client = local.client();
            async move { client.carry_in(tokio_stream::iter(pieces)).await }
        };
        let over = carried(CARRY_BYTES_MAX + 1).await;
        held(
            carried(CARRY_BYTES_MAX).await,
            over,
            "more than 268435456 bytes",
        );
        county.stop().await;
    })
    .await;
}
