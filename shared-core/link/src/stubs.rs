//! Generated clients and servers of the services.

#![expect(
    clippy::allow_attributes_without_reason,
    clippy::too_many_lines,
    reason = "the generated code carries bare allows of its own, and one long match a service"
)]

/// Sync between a station and the county.
pub mod sync {
    tonic::include_proto!("sponson.sync.v1");
}

/// Admission, the county's questions, the local service.
pub mod service {
    tonic::include_proto!("sponson.service.v1");
}
