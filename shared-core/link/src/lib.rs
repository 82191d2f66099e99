//! How replicas meet: TLS connections, admission, both ends of a sync over gRPC, the county's
//! service for questions, and the local service that every command goes through.

pub mod stubs;
