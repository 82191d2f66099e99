//! A link that is cut after any number of bytes.

use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _};
use tokio::net::{TcpListener, TcpStream};

use crate::world::{County, Station, limited};
use sponson_link::station::CountyAt;

/// Passes one connection on and cuts it once so many bytes went up.
async fn cutting(target: String, bytes_up: usize) -> String {
    let listener = TcpListener::bind("127.0.0.1:0").await.expect("a port");
    let address = listener.local_addr().expect("address").to_string();
    tokio::spawn(async move {
        while let Ok((from, _)) = listener.accept().await {
            let to = TcpStream::connect(&target).await.expect("the county");
            tokio::spawn(pass(from, to, bytes_up));
        }
    });
    address
}

async fn pass(from: TcpStream, to: TcpStream, mut left: usize) {
    let (mut from_read, mut from_write) = from.into_split();
    let (mut to_read, mut to_write) = to.into_split();
    let down = tokio::spawn(async move { tokio::io::copy(&mut to_read, &mut from_write).await });
    let mut buffer = vec![0; 4096];
    while left > 0 {
        let most = left.min(buffer.len());
        match from_read.read(&mut buffer[..most]).await {
            Ok(0) | Err(_) => break,
            Ok(read) => {
                left -= read;
                if to_write.write_all(&buffer[..read]).await.is_err() {
                    break;
                }
            }
        }
    }
    down.abort();
}

#[tokio::test]
async fn a_sync_cut_anywhere_is_finished_by_the_next() {
    limited(async {
        let county = County::found(1).await;
        let north = Station::join(&county, "North", 10).await;
        for number in 0..150 {
            north.register(&format!("Quay {number}")).await;
        }
        let mut failed = 0;
        for bytes_up in [0, 1, 300, 1500, 3000, 8000, 12_000, 20_000, 30_000, 40_000] {
            let at = CountyAt {
                address: cutting(county.address.clone(), bytes_up).await,
                ..county.at()
            };
            if north.try_sync(&at).await.is_err() {
                failed += 1;
            }
        }
        assert!(failed >= 5, "the link was cut on the way: {failed}");
        north.sync(&county).await;
        assert_eq!(north.waiting().await, 0);
        let south = Station::join(&county, "South", 20).await;
        south.sync(&county).await;
        assert_eq!(south.craft().await.len(), 150);
        // Root's admission, two stations, two keys, 150 craft: nothing twice.
        assert_eq!(county.events().await, 155);
        county.stop().await;
    })
    .await;
}
