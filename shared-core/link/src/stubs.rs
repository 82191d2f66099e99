//! Generated clients and servers of the services.

/// Sync between a station and the county.
pub mod sync {
    tonic::include_proto!("sponson.sync.v1");
}

/// Admission, the county's questions, the local service.
pub mod service {
    tonic::include_proto!("sponson.service.v1");
}
